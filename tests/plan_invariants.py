"""What holds for every ``plan.json``, whatever the job: one function that a test calls with the parsed file."""

from __future__ import annotations

import json
import math
from collections import defaultdict
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import jsonschema

from planner.shipped import resources
from planner.spec.catalogue import load_catalogue

LEVEL_DIGIT_M = 0.0006
"""Half of the last digit of chainages written to the millimetre, and a little."""


def read_plan(path: Path) -> dict[str, Any]:
    """A plan file, every number of which is finite."""
    return json.loads(path.read_text(encoding="utf-8"), parse_constant=_not_a_number)


def check_plan(plan: dict[str, Any]) -> None:
    """Fails where a plan breaks what always holds.

    The schema is held against a thinned plan: of long arrays along a line, some sixty entries. Everything else is
    held against the whole.
    """
    jsonschema.Draft202012Validator(_schema()).validate(_thinned(plan))
    _only_finite(plan)
    for line in plan["lines"]:
        _sections_tile(line)
        _posts_stand_in_their_sections(line)
        _joins_and_sub_runs_lie_in_their_sections(line)
        _arrays_follow_the_line(line)
    _names_are_unique_and_short(plan)
    _materials_are_the_sum_of_their_sections(plan)
    _rolls_hold_their_cuts(plan)
    _cuts_cover_what_is_wanted(plan)
    _money_adds_up(plan["cost"])
    for finding in plan["findings"]:
        assert finding["rule"], finding
        assert finding["message"].strip(), finding
        assert finding["remedy"].strip(), finding


@cache
def _schema() -> dict[str, Any]:
    return json.loads((resources() / "plan.schema.json").read_text(encoding="utf-8"))


def _thinned(plan: dict[str, Any]) -> dict[str, Any]:
    def thin(values: list[Any]) -> list[Any]:
        return [*values[::max(1, len(values) // 60)], *values[-1:]]

    lines = [{**line, "posts": thin(line["posts"]), "profile": {k: thin(v) for k, v in line["profile"].items()}}
             for line in plan["lines"]]
    return {**plan, "lines": lines, "roll_plan": thin(plan["roll_plan"])}


def _not_a_number(word: str) -> float:
    raise AssertionError(f"plan.json holds {word}")


def _only_finite(value: Any, path: str = "plan") -> None:
    if isinstance(value, float):
        assert math.isfinite(value), path
    elif isinstance(value, dict):
        for key, part in value.items():
            _only_finite(part, f"{path}.{key}")
    elif isinstance(value, list):
        for index, part in enumerate(value):
            _only_finite(part, f"{path}[{index}]")


def _sections_tile(line: dict[str, Any]) -> None:
    sections = line["sections"]
    assert sections[0]["from_m"] == 0.0
    assert sections[-1]["to_m"] == line["plan_length_m"]
    for a, b in pairwise(sections):
        assert a["to_m"] == b["from_m"], (line["name"], a["id"], b["id"])
    for s in sections:
        assert s["to_m"] > s["from_m"], (line["name"], s["id"])
        assert abs(s["to_m"] - s["from_m"] - s["plan_length_m"]) <= 2e-4, s["id"]
        assert s["slope_length_m"] >= s["plan_length_m"] - 2e-4, s["id"]
        assert s["grade_min_deg"] <= s["grade_max_deg"], s["id"]
    rounding = 1e-4 * (len(sections) + 1)
    assert abs(math.fsum(s["slope_length_m"] for s in sections) - line["slope_length_m"]) <= rounding, line["name"]
    assert abs(math.fsum(s["plan_length_m"] for s in sections) - line["plan_length_m"]) <= rounding, line["name"]


def _posts_stand_in_their_sections(line: dict[str, Any]) -> None:
    sections = {s["id"]: s for s in line["sections"]}
    for post in line["posts"]:
        section = sections[post["section"]]
        assert _within(post["chainage_m"], section), (post["id"], post["chainage_m"], section["id"])
    chainages = [post["chainage_m"] for post in line["posts"]]
    assert chainages == sorted(chainages), line["name"]


def _joins_and_sub_runs_lie_in_their_sections(line: dict[str, Any]) -> None:
    for section in line["sections"]:
        for join in section["joins"]:
            assert section["from_m"] < join["chainage_m"] < section["to_m"], (section["id"], join)
        runs = section["subruns"]
        assert bool(runs) == (section["kind"] == "run"), section["id"]
        if runs:
            assert _near(runs[0]["from_m"], section["from_m"]), section["id"]
            assert _near(runs[-1]["to_m"], section["to_m"]), section["id"]
            assert all(_near(a["to_m"], b["from_m"]) for a, b in pairwise(runs)), section["id"]
            mid_run = [j["chainage_m"] for j in section["joins"] if j["kind"] != "roll"]
            assert mid_run == [run["from_m"] for run in runs[1:]], section["id"]


def _arrays_follow_the_line(line: dict[str, Any]) -> None:
    profile = line["profile"]
    assert len(profile["chainage_m"]) == len(profile["level_m"]) == len(profile["source"])
    assert profile["chainage_m"][0] == 0.0
    assert _near(profile["chainage_m"][-1], line["plan_length_m"])
    assert all(a <= b for a, b in pairwise(profile["chainage_m"]))
    corners = [v["chainage_m"] for v in line["vertices"]]
    assert corners == sorted(corners)
    assert _near(corners[-1], line["plan_length_m"])
    assert all(0.0 < b["chainage_m"] < line["plan_length_m"] for b in line["grade_breaks"])


def _names_are_unique_and_short(plan: dict[str, Any]) -> None:
    lines = [line["name"] for line in plan["lines"]]
    assert len(lines) == len(set(lines)), lines
    ids = [s["id"] for line in plan["lines"] for s in line["sections"]]
    assert len(ids) == len(set(ids))
    names = [p["id"] for line in plan["lines"] for p in line["posts"]]
    names += [p["name"] for line in plan["lines"] for p in line["sight_pegs"]]
    assert len(names) == len(set(names))
    assert all(0 < len(name) <= 10 for name in names)


def _materials_are_the_sum_of_their_sections(plan: dict[str, Any]) -> None:
    ids = {s["id"] for line in plan["lines"] for s in line["sections"]}
    for row in plan["materials"]:
        assert set(row["by_section"]) <= ids, row["item"]
        total = math.fsum(row["by_section"].values())
        assert math.isclose(row["net"], total, rel_tol=1e-9, abs_tol=1e-6), (row["item"], row["net"], total)
        assert row["order"] >= row["net"] - 1e-6, row["item"]
        assert abs(row["order"] - row["net"] - row["waste"] - row["left_over"]) < 0.001, row["item"]


def _rolls_hold_their_cuts(plan: dict[str, Any]) -> None:
    sections = {s["id"]: s for line in plan["lines"] for s in line["sections"]}
    numbers = [(roll["item"], roll["stock"]) for roll in plan["roll_plan"]]
    assert len(numbers) == len(set(numbers))
    for roll in plan["roll_plan"]:
        used = math.fsum(cut["length_m"] for cut in roll["cuts"])
        assert roll["cuts"], roll
        assert abs(used + roll["left_m"] - roll["length_m"]) <= 1e-4 * (len(roll["cuts"]) + 2), roll
        for cut in roll["cuts"]:
            assert cut["length_m"] > 0, cut
            assert _within(cut["from_m"], sections[cut["section"]]), cut
            assert _within(cut["to_m"], sections[cut["section"]]), cut


def _cuts_cover_what_is_wanted(plan: dict[str, Any]) -> None:
    """The pieces of each part lie end to end over its whole stretch, and every part that comes off a roll has some."""
    catalogue = load_catalogue()
    pieces = defaultdict(list)
    for roll in plan["roll_plan"]:
        for cut in roll["cuts"]:
            pieces[roll["item"], cut["section"], cut["part"]].append((cut["from_m"], cut["to_m"]))
    for line in plan["lines"]:
        fence = catalogue.fences.get(line["fence"])
        for section in line["sections"] if fence else ():
            whole = (section["from_m"], section["to_m"])
            if section["kind"] != "run":
                continue
            wanted = [(s.item, s.name, whole) for s in (*fence.strands, *fence.nettings)]
            if fence.mesh:
                wanted += [(fence.mesh.item, f"sub-run {k}", (run["from_m"], run["to_m"]))
                           for k, run in enumerate(section["subruns"], 1)]
            for item, part, (start, end) in wanted:
                if catalogue.items[item].stock_m:
                    _covers(pieces.pop((item, section["id"], part), []), start, end, (item, section["id"], part))
    for (item, section, part), left in pieces.items():
        assert part.startswith(("cable", "curtain")) or any(line["fence"] not in catalogue.fences
                                                            for line in plan["lines"]), (item, section, part, left)


def _covers(pieces: list[tuple[float, float]], start: float, end: float, what: object) -> None:
    assert pieces, f"nothing covers {what}"
    ordered = sorted(pieces)
    assert _near(ordered[0][0], start), what
    assert _near(max(to for _, to in ordered), end), what
    for a, b in pairwise(ordered):
        assert b[0] <= a[1] + 0.001, (what, a, b)


def _money_adds_up(cost: dict[str, Any]) -> None:
    known = math.fsum(row["amount"] for row in cost["lines"] if row["amount"] is not None)
    assert abs(known - cost["subtotal"]) < 0.01
    assert abs(cost["subtotal"] + cost["tax"] - cost["total"]) < 0.01
    assert cost["complete"] == (not cost["missing"])


def _within(chainage: float, section: dict[str, Any]) -> bool:
    return section["from_m"] - LEVEL_DIGIT_M <= chainage <= section["to_m"] + LEVEL_DIGIT_M


def _near(a: float, b: float) -> bool:
    return abs(a - b) <= LEVEL_DIGIT_M
