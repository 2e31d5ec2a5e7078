"""Two jobs of the trade: an old fence replaced, patched or put off, and an island paddock round a clump of trees.

The jobs are invented; their figures were worked out by hand apart from this program.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest
from command_line import EAST, GRID, NORTH, command, write_lines

from planner.alignment.line import FenceLine, Gate
from planner.files.job_file import read_job, write_job
from planner.job.comparison import compare, plan_options
from planner.job.derive import catalogue_of, plan_job
from planner.job.job import Job
from planner.job.options import Option
from planner.job.plan import JobPlan
from planner.materials.prices import Price, PriceList
from planner.survey.features import Feature

DAY = date(2026, 11, 2)
TRUE_EAST = 688_200.0
"""Easting in MGA zone 55 where 1 m of grid is 1 m of ground at some 200 m."""
OLD_LENGTH = 900.0
FACTS = (("posts", "180"), ("posts sound", "62"), ("wires", "failed"), ("ends failed", "1"), ("built", "1986"),
         ("seen", "2026-10-01"))


# An old boundary of 900 m: 40 years, 180 posts of which 62 % are sound, wires rusted, one of two ends failed


def old_fence(fate: str) -> Feature:
    return Feature("Back boundary", "existing fence",
                   f"LINESTRING ({TRUE_EAST} {NORTH}, {TRUE_EAST} {NORTH + OLD_LENGTH})", (*FACTS, ("fate", fate)))


def along(name: str, fence: str, off: float = 0.0) -> FenceLine:
    return FenceLine(name, fence, np.array([(TRUE_EAST + off, NORTH), (TRUE_EAST + off, NORTH + OLD_LENGTH)]),
                     accuracy="rtk")


def prices_of(job: Job) -> PriceList:
    """A price for everything: invented, the same for each item, and an hour at 60."""
    found = {(key, 0.0): Price(key, item.unit, item.pack, Decimal("3.00"), "Store", DAY, "standard")
             for key, item in catalogue_of(job).items.items()}
    made = {(price.item, price.pack): price for price in found.values()}
    made["labour", 1.0] = Price("labour", "h", 1.0, Decimal("60.00"), "Crew", DAY, "standard")
    return PriceList(made)


@pytest.fixture(scope="module")
def ways() -> dict[str, JobPlan]:
    """The three ways, each planned as the job that it would be."""
    lines = (along("New", "general-mesh"), along("Hot wire", "offset-hot-wire", 0.5))
    job = Job("Back boundary", GRID, lines, options=(
        Option("replace", ("New",), life_years=25.0), Option("patch", ("New",), life_years=12.0),
        Option("put off", ("Hot wire",), life_years=6.0)))
    job = replace(job, prices=prices_of(job))
    fates = {"replace": "is pulled out", "patch": "is reused", "put off": "stays"}
    return {name: plan_job(replace(job, option=name, features=(old_fence(fate),)), today=DAY)
            for name, fate in fates.items()}


def line_posts(plan: JobPlan) -> float:
    return sum(row.net for row in plan.materials if any(rule.startswith("Posts between ends") for rule in row.rule))


def hours(plan: JobPlan, work: str) -> float:
    return sum(row.hours for row in plan.labour if row.work == work)


def test_patching_keeps_the_sound_posts_and_counts_none_twice(ways):
    """62 % of 180 posts are 111.6: 111 stay."""
    assert line_posts(ways["replace"]) - line_posts(ways["patch"]) == 111
    stand = sum(post.kind not in ("end", "corner") for line in ways["patch"].lines for post in line.posts)
    kept = sum(len(work.kept) for line in ways["patch"].lines for work in line.works)
    assert line_posts(ways["patch"]) + kept == stand


def test_replacing_takes_the_old_fence_out_and_patching_does_not(ways):
    assert hours(ways["replace"], "taking out old fence") == pytest.approx(OLD_LENGTH * 0.06, rel=1e-3)
    assert hours(ways["patch"], "taking out old fence") == hours(ways["put off"], "taking out old fence") == 0.0


def test_the_sound_posts_of_what_is_taken_out_are_told(ways):
    (found,) = [f for f in ways["replace"].findings if f.rule == "oldfence-06"]
    assert "about 111 sound posts" in found.message


def test_putting_off_hangs_brackets_on_what_stands_and_takes_no_posts(ways):
    bought = {row.item for row in ways["put off"].materials}
    assert "offset-bracket" in bought
    assert not any("post" in item or "strainer" in item for item in bought)


def test_each_way_costs_its_own_a_year(ways):
    """First cost over its life, half of it at interest, and upkeep: the shorter it stands, the dearer a year."""
    found = {name: compare([(name, plan)]).columns[0] for name, plan in ways.items()}
    for name, life in (("replace", 25), ("patch", 12), ("put off", 6)):
        first = found[name].cost.total
        upkeep = Decimal("0.05") if name == "put off" else Decimal("0.08")
        wanted = first / life + first * Decimal("0.04") + first * upkeep
        assert found[name].yearly == pytest.approx(wanted, abs=Decimal("0.05"))
    assert found["put off"].cost.total < found["patch"].cost.total < found["replace"].cost.total


def test_an_old_fence_of_forty_years_says_so_only_where_it_is_reused(ways):
    told = {name: {f.rule for f in plan.findings if f.rule.startswith("oldfence-")} for name, plan in ways.items()}
    assert told == {"replace": {"oldfence-06"}, "patch": {"oldfence-04"}, "put off": set()}


def test_the_condition_is_in_the_list_of_fences_that_stand(ways):
    from planner.job.after import after_plan

    (asset,) = after_plan(ways["patch"]).assets
    assert asset.condition == "62 % of posts sound, wires failed, seen 2026-10-01"


def test_options_of_one_job_are_set_side_by_side(tmp_path: Path):
    job = Job("Back boundary", GRID, (along("New", "general-mesh"), along("Hot wire", "offset-hot-wire", 0.5)),
              options=(Option("patch", ("New",), life_years=12.0), Option("put off", ("Hot wire",), life_years=6.0)),
              features=(old_fence("is reused"),))
    path = tmp_path / "old.job.gpkg"
    write_job(path, job)
    assert read_job(path).options == job.options
    ran = command("compare", path)
    assert ran.status == 0
    assert "patch" in ran.out
    assert "put off" in ran.out
    assert len(plan_options(read_job(path), today=DAY)) == 2


# An island paddock round a clump of trees: 2.1 ha, radius 81.76 m, fence 5 m outside the canopy


RADIUS = math.sqrt(21_000.0 / math.pi) + 5.0


def ring(corners: int, around: bool = True) -> np.ndarray:
    """Corners of a regular polygon about the circle, so that it keeps the distance everywhere, or on the circle."""
    radius = RADIUS / math.cos(math.pi / corners) if around else RADIUS
    angle = 2.0 * math.pi * (np.arange(corners + 1) % corners) / corners
    return np.column_stack((TRUE_EAST + radius * np.cos(angle), NORTH + radius * np.sin(angle)))


def island(corners: int, around: bool = True, *gates: Gate) -> JobPlan:
    line = FenceLine("Island", "electric-5", ring(corners, around), closed=True, accuracy="rtk", gates=gates)
    return plan_job(Job("Island", GRID, (line,)), today=DAY)


@pytest.mark.parametrize(("corners", "metres"), [(4, 694), (6, 601), (8, 575), (12, 558)])
def test_fewer_corners_take_more_metres(corners: int, metres: int):
    """A regular polygon about a circle of radius r is 2 n r tan(pi / n) long."""
    plan = island(corners)
    assert plan.lines[0].ground.chainage_m[-1] == pytest.approx(2 * corners * RADIUS * math.tan(math.pi / corners),
                                                                 rel=1e-4)
    assert round(float(plan.lines[0].ground.chainage_m[-1])) == metres
    assert sum(corner.role == "corner" for corner in plan.lines[0].corners[:-1]) == corners


def test_a_dodecagon_still_has_corners_and_a_curve_has_none():
    """30 degrees a corner is over the limit; posts at 4 m on the circle turn 2.6 degrees each."""
    assert Counter(corner.role for corner in island(12).lines[0].corners[:-1]) == {"corner": 12}
    curve = island(round(2 * math.pi * RADIUS / 4.0), around=False)
    roles = Counter(corner.role for corner in curve.lines[0].corners[1:-1])
    assert set(roles) == {"deviation"}
    turn = np.median([abs(corner.turn_deg) for corner in curve.lines[0].corners[1:-1]])
    assert turn == pytest.approx(2.6, abs=0.06)
    assert curve.lines[0].ground.chainage_m[-1] == pytest.approx(545.0, abs=0.5)


def test_a_post_on_the_curve_is_pulled_by_a_twentieth_of_the_tension():
    """2 sin(2.63 / 2 deg) = 0.046 of the tension."""
    curve = island(round(2 * math.pi * RADIUS / 4.0), around=False).lines[0]
    pull = curve.fence.pull_n
    share = [load.side_n / pull for post, load in zip(curve.posts, curve.loads, strict=True)
             if post.kind == "deviation"]
    assert np.median(share) == pytest.approx(0.046, abs=0.001)


def test_the_clump_is_a_paddock_of_its_own_that_one_gate_opens(tmp_path: Path):
    """Shut off from stock, but a rescue or a fire unit must get in: no gate is told once, one gate is enough."""
    home = write_lines(tmp_path / "island.geojson", {"Island": (ring(8) - (EAST, NORTH)).tolist()})
    path = tmp_path / "island.job.gpkg"
    assert command("plan", home, "--job", path, "--crs", GRID, "--fence", "electric-5").status == 0
    inside = Feature("Clump", "paddock", f"POINT ({TRUE_EAST} {NORTH})", (("use", "shut off"),))
    trees = Feature("Dead limb", "trees", f"POINT ({TRUE_EAST + RADIUS - 6.0} {NORTH})",
                    (("height", "18"), ("state", "dead or dead limbs")))
    job = replace(read_job(path), features=(inside, trees))
    told = Counter(f.rule for f in plan_job(job, today=DAY).findings)
    assert told["tree-01"] + told["tree-02"] == 1, "the dead limb, once"
    without = [f for f in plan_job(job, today=DAY).findings if f.rule.startswith("paddock-")]
    line = job.lines[0]
    middle = (line.xy[0, :2] + line.xy[1, :2]) / 2.0
    gated = replace(job, lines=(replace(line, gates=(Gate("G", *middle.tolist(), 4.2),)),))
    with_gate = [f for f in plan_job(gated, today=DAY).findings if f.rule.startswith("paddock-")]
    assert len(without) == 1
    assert with_gate == []
