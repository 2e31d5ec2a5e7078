"""Options and stages of a job: what is planned, what it comes to, and what a later stage needs now."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import numpy as np
import pytest
from job_samples import EAST, NORTH, corners
from unit.sections.ground_of import ground_of, line_of

from planner.alignment.junctions import Junction
from planner.alignment.line import FenceLine
from planner.job.comparison import compare, plan_options, stage_totals
from planner.job.derive import catalogue_of, plan_job
from planner.job.job import Job
from planner.job.options import Option, chosen_option, lines_of_option, set_aside
from planner.job.plan import JobPlan
from planner.job.stage_checks import check_stages
from planner.job.stages import Stage
from planner.materials.ownership import annual_cost, upkeep_of
from planner.materials.prices import Price, PriceList

HOME = FenceLine("Home", "cattle-barbed-4", corners((0, 0), (400, 0), (400, 400), (0, 400), (0, 0)), closed=True)
SHORT = FenceLine("Short", "cattle-barbed-4", corners((0, 200), (400, 200)))
LONG = FenceLine("Long", "cattle-barbed-4", corners((200, 0), (200, 190), (210, 210), (200, 400)))
TODAY = date(2026, 6, 1)


def prices_for(job: Job) -> PriceList:
    """A price for everything in the catalogue."""
    items = catalogue_of(job).items.values()
    prices = [Price(i.key, i.unit, pack, Decimal("10") * Decimal(repr(pack)) / 100 + 1, "store", TODAY)
              for i in items for pack in (i.stock_m or (i.pack,))]
    prices.append(Price("labour", "h", 1.0, Decimal("60"), "crew", TODAY))
    return PriceList({(p.item, p.pack): p for p in prices})


@pytest.fixture(scope="module")
def job() -> Job:
    made = Job("Farm", "EPSG:7855", lines=(HOME, SHORT, LONG), options=(
        Option("straight", ("Short",)), Option("bent", ("Long",), (("Home", "electric-2"),))))
    return replace(made, prices=prices_for(made))


@pytest.fixture(scope="module")
def staged() -> JobPlan:
    made = Job("Farm", "EPSG:7855", lines=(HOME, SHORT), stages=(
        Stage("first", ("Home",), 2027), Stage("second", ("Short",), 2029)))
    return plan_job(replace(made, prices=prices_for(made)), today=TODAY)


def rules(plan: JobPlan) -> list[str]:
    return [f.rule for f in plan.findings if f.rule.startswith(("option", "stage"))]


@pytest.mark.rules(fires="option-01", silent="option-02")
def test_lines_that_only_another_option_holds_are_not_planned(job: Job):
    assert chosen_option(job) is job.options[0]
    assert set_aside(job) == ("Long",)
    plan = plan_job(job, today=TODAY)
    assert [line.line.name for line in plan.lines] == ["Home", "Short"]
    assert rules(plan) == ["option-01"]
    assert "left out: Long" in next(f for f in plan.findings if f.rule == "option-01").message


def test_the_chosen_option_carries_its_fences(job: Job):
    plan = plan_job(replace(job, option="bent"), today=TODAY)
    assert [(line.line.name, line.fence.key) for line in plan.lines] == [
        ("Home", "electric-2"), ("Long", "cattle-barbed-4")]


def test_what_did_not_change_is_taken_over_from_the_earlier_plan(job: Job):
    bent = replace(job, option="bent")
    plan = plan_job(bent, today=TODAY)
    again = plan_job(replace(bent, notes=("new",)), previous=plan, today=TODAY)
    assert all(one is other for one, other in zip(plan.lines, again.lines, strict=True))


def test_a_line_keeps_its_section_ids_in_every_option(job: Job):
    codes = [{line.line.name: line.code for line in plan.lines} for _, plan in plan_options(job)]
    assert codes == [{"Home": "A", "Short": "B"}, {"Home": "A", "Long": "C"}]


@pytest.mark.rules(silent="option-01")
def test_without_options_every_line_is_planned(job: Job):
    plain = replace(job, options=())
    assert lines_of_option(plain, chosen_option(plain)) == job.lines
    assert "option-01" not in rules(plan_job(plain, today=TODAY))


@pytest.mark.rules(fires="option-01 option-02")
def test_an_option_that_speaks_of_what_is_not_there_says_so(job: Job):
    plan = plan_job(replace(job, options=(Option("odd", ("nowhere",)),), option="gone"), today=TODAY)
    assert sorted(rules(plan)) == ["option-01", "option-02", "option-02"]
    assert [line.line.name for line in plan.lines] == ["Home", "Short", "Long"]


def test_options_side_by_side(job: Job):
    found = compare(plan_options(job, today=TODAY))
    straight, bent = found.columns
    assert (straight.name, bent.name) == ("straight", "bent")
    assert straight.lines == ("Home", "Short")
    assert straight.slope_m == pytest.approx(2000, rel=1e-3)
    assert straight.corners == 4, "the corner where the closed line starts and ends is one"
    assert bent.corners == straight.corners + 2
    assert straight.hectares == bent.hectares == pytest.approx(16.0, rel=1e-2)
    assert straight.cost.complete
    assert found.cheapest is min(found.columns, key=lambda column: column.cost.total)
    assert straight.per_m == (straight.cost.total / Decimal(repr(straight.slope_m))).quantize(Decimal("0.01"))


def test_an_unpriced_alternative_leaves_the_cheapest_open(job: Job):
    found = compare(plan_options(replace(job, prices=PriceList()), today=TODAY))
    assert found.cheapest is None


def test_owning_is_worked_out_fence_type_by_fence_type(job: Job):
    """Barbed 20 years and 8 %, electric 25 years and 5 %: what each costs, at its own rate, adds up to the year."""
    straight, bent = compare(plan_options(job, today=TODAY)).columns
    rate = {"barbed": Decimal(1) / 20 + Decimal("0.12"), "electric": Decimal(1) / 25 + Decimal("0.09")}
    assert straight.yearly == pytest.approx(straight.cost.total * rate["barbed"], abs=Decimal("0.02"))
    assert bent.cost.total * rate["electric"] < bent.yearly < bent.cost.total * rate["barbed"]


@pytest.mark.parametrize(("fence", "life", "rate"), [
    ("general-mesh", 20, 0.08), ("cattle-barbed-4", 20, 0.08), ("rabbit-netting", 20, 0.08),
    ("cattle-plain-5", 25, 0.05), ("electric-5", 25, 0.05)])
def test_upkeep_by_what_a_fence_is_made_of(job: Job, fence: str, life: float, rate: float):
    found = upkeep_of(catalogue_of(job).fences[fence], job.settings)
    assert (found.life_years, found.maintenance_rate) == (life, rate)


def test_upkeep_follows_the_settings(job: Job):
    dear = replace(job, settings=job.settings.changed({"interest_rate": 0.0, "life_woven_years": 10}))
    straight, _ = compare(plan_options(dear, today=TODAY)).columns
    wanted = annual_cost(straight.cost.total, life_years=10, maintenance_rate=0.08, interest_rate=0.0).total
    assert straight.yearly == pytest.approx(wanted, abs=Decimal("0.02"))


# stages


def test_a_later_stage_needs_its_strainers_now(staged: JobPlan):
    """The later line stops on the earlier one at half of two of its sides, 600 m and 1 400 m along."""
    found = [f for f in staged.findings if f.rule == "stage-01"]
    assert sorted(f.place.chainage_m for f in found) == pytest.approx([600.0, 1400.0], rel=1e-3)
    assert all(f.place.line == "Home" for f in found)
    assert all(f.severity == "warning" for f in found)
    assert "in stage 'second' (2029)" in found[0].message
    assert all(f"{f.place.chainage_m:.1f} m" in f.remedy for f in found)


@pytest.mark.rules(fires="stage-01", silent="stage-02 stage-03")
def test_an_earlier_stage_needs_nothing_from_a_later_one(staged: JobPlan):
    other = plan_job(replace(staged.job, stages=tuple(reversed(staged.job.stages))), today=TODAY)
    assert [f.place.line for f in other.findings if f.rule == "stage-01"] == ["Short", "Short"]
    assert all("at the end of" in f.message for f in other.findings if f.rule == "stage-01")


def test_an_assembly_between_two_stages_is_counted_with_the_earlier(staged: JobPlan):
    first, second = stage_totals(staged, today=TODAY)
    assert first.ends == 6, "four corners and two junctions"
    assert second.ends == 0
    later = plan_job(replace(staged.job, stages=tuple(reversed(staged.job.stages))), today=TODAY)
    second, first = stage_totals(later, today=TODAY)
    assert (first.ends, second.ends) == (4, 2)


def test_totals_by_stage_add_up_to_the_job(staged: JobPlan):
    first, second = stage_totals(staged, today=TODAY)
    (whole,) = compare([("all", staged)]).columns
    for name in ("slope_m", "strains", "ends", "corners", "gates", "posts", "hours"):
        assert getattr(first, name) + getattr(second, name) == pytest.approx(getattr(whole, name)), name
    assert first.cost.total + second.cost.total >= whole.cost.total, "packs are rounded up twice"


@pytest.mark.rules(fires="stage-01 stage-02 stage-03")
def test_lines_in_no_stage_and_in_two_are_told(staged: JobPlan):
    odd = plan_job(replace(staged.job, stages=(Stage("a", ("Home",)), Stage("b", ("Home",)))), today=TODAY)
    assert sorted(rules(odd)) == ["stage-01", "stage-01", "stage-02", "stage-03"]
    assert [f.name for f in stage_totals(odd, today=TODAY)] == ["a", "b", "no stage"]


@pytest.mark.rules(silent="stage-01 stage-02 stage-03", limit="stage-01 stage-02")
def test_only_a_later_stage_and_a_second_one_are_told():
    """Of two stages with all lines in one of them, nothing is said; a line twice in one stage is no second stage."""
    def told(*stages: Stage) -> list[str]:
        return rules(plan_job(Job("Farm", "EPSG:7855", lines=(HOME, SHORT), stages=stages), today=TODAY))

    assert told(Stage("first", ("Home", "Short", "Home")), Stage("second")) == []
    assert told(Stage("first", ("Home", "Short")), Stage("second", ("Home",))) == ["stage-02"]
    assert told(Stage("first", ("Home",)), Stage("second", ("Short",))) == ["stage-01", "stage-01"]


@pytest.mark.rules(limit="stage-01")
@pytest.mark.parametrize(("at_m", "severity"), [(0.5, "note"), (0.51, "warning"), (99.49, "warning"), (99.5, "note")])
def test_a_later_pull_within_half_a_metre_of_an_end_needs_no_cut(staged: JobPlan, at_m: float, severity: str):
    line = line_of((0, 0), (100, 0), name="Home")
    plan = replace(staged.lines[0], line=line, ground=ground_of(line), sections=())
    (found,) = check_stages([plan], {"Home": (Junction(at_m, 0.0, ("Short",), 1),)}, staged.job.stages)
    assert (found.rule, found.severity) == ("stage-01", severity)


def test_without_stages_there_are_no_totals(job: Job):
    assert stage_totals(plan_job(job, today=TODAY)) == ()


def test_places_are_in_the_grid(staged: JobPlan):
    at = np.array([(f.place.x, f.place.y) for f in staged.findings if f.rule == "stage-01"])
    assert sorted(map(tuple, (at - (EAST, NORTH)).tolist())) == [(0.0, 200.0), (400.0, 200.0)]
