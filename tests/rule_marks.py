"""What tests say that they show of checks: the mark ``rules``, read by the test run and by the table for developers.

    @pytest.mark.rules(fires="loads-04", silent="loads-04", limit="loads-04 loads-05", aside="loads-04")

``fires``: the test sees a finding of the rule. ``silent``: it sees none where all is well. ``limit``: it sees both
sides of the number that the rule is about, or of the least count. ``aside``: it waives a finding and plans again. The
test run holds a test to its mark, see ``conftest.py``.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

KINDS = ("fires", "silent", "limit", "aside")
ROOT = Path(__file__).resolve().parents[1]
NO_LIMIT: dict[str, str] = {
    # what was read
    "survey-01": "a number is finite or not",
    "survey-08": "a system is that of web maps or not",
    "survey-20": "every corner has a place or not",
    "survey-23": "a point has a place or not",
    "survey-24": "sources stand on two datums or not",
    "survey-25": "an accuracy is known or not",
    "survey-26": "a datum is stated or not",
    "survey-27": "two names are the same or not",
    "survey-31": "terrain gives a level or none",
    "survey-32": "every file states its system or not",
    "survey-40": "a row has a shape or none",
    "survey-43": "a position is a number or none",
    "survey-45": "two corners are the same or not",
    "survey-51": "a ring is closed or not",
    "survey-52": "a ring lies within another or not",
    "survey-54": "a polygon is sound or not",
    "survey-57": "letters read as stated or not",
    "survey-60": "all of a file is read or not",
    "survey-61": "a comma is written or a point",
    "survey-64": "the stated unit is metres or not",
    "survey-67": "a file is what its name says or not",
    "survey-68": "words are defined or not",
    "survey-69": "something is lost or nothing",
    "traverse-02": "a heading is known or not",
    "feature-02": "a shape fits its meaning or not",
    "feature-03": "a word tells the meaning or none",

    # lines, ground, loads, materials
    "line-53": "a gate or crossing has a width in the survey or none",
    "line-62": "an outline crosses itself or does not",
    "loads-07": "the breaking load of a wire is known or not",
    "materials-04": "an item has a price or none",
    "materials-06": "a price is in the item's unit or in another",
    "materials-07": "the mass of an item is known or not",
    "materials-20": "an item of that name is there or not",
    "materials-22": "a price is in the item's unit or in another",
    "materials-24": "a date can be read in one way, and a supplier is named, or not",
    "materials-26": "a tax class is one of two words or not",
    "option-01": "a job has options or none",
    "option-02": "what an option names is there or not",
    "sections-03": "an end assembly is in the catalogue or not",
    "stage-03": "a line belongs to a stage or to none",

    # what surrounds a line, and after the plan
    "built-06": "the plan has the line, or it has not",
    "oldfence-01": "somebody has looked, or nobody has",
}
"""Rules that have no number and no least count to be tried on both sides of, and why: a thing is so or it is not."""
NO_ASIDE: dict[str, str] = {
    # what was read
    "survey-08": "told as a note only",
    "survey-22": "told as a note only",
    "survey-27": "told as a note only",
    "survey-32": "told as a note only",
    "survey-33": "told as a note only",
    "survey-45": "told as a note only",
    "survey-47": "told as a note only",
    "survey-57": "told as a note only",
    "survey-66": "told as a note only",
    "survey-67": "told as a note only",
    "survey-69": "told as a note only",
    "traverse-01": "the command stops at it",
    "traverse-02": "never more than a note",

    # lines, ground, loads, materials
    **{f"division-{k:02d}": "told while a paddock is divided; no plan tells it" for k in range(1, 6)},
    "line-51": "a note of what was read, no finding of the plan",
    "line-53": "a note of what was read, no finding of the plan",
    "line-61": "a note of what was read, no finding of the plan",
    "line-63": "a note of what was read, no finding of the plan",
    **{f"materials-{k}": "told while a price list is read; the job keeps its prices alone" for k in range(20, 27)},
    "sections-03": "a fence type without its end assembly is refused before it is planned",

    # what surrounds a line, and after the plan
}
"""Rules whose findings nobody can set aside, and why."""
WITHOUT = {"limit": NO_LIMIT, "aside": NO_ASIDE}
"""Kind to the rules that cannot be tried in that way."""
_RULE = re.compile(r"^[a-z]+-\d\d$")


def shown(given: Mapping[str, str], call: Any = None) -> dict[str, set[str]]:
    """Kind to rule ids, of one mark.

    Args:
        given: What stands in the mark.
        call: Parameters of the one call of a test, where it has any; those of a parameter ``rule`` alone are kept.

    Raises:
        ValueError: A kind or an id is not one.
    """
    wrong = [kind for kind in given if kind not in KINDS]
    wrong += [rule for rules in given.values() for rule in rules.split() if not _RULE.match(rule)]
    if wrong:
        raise ValueError(f"A mark of rules says {wrong[0]!r}, which is no kind and no rule id.")
    only = getattr(call, "params", {}).get("rule")
    return {kind: {rule for rule in given.get(kind, "").split() if only in (None, rule)} for kind in KINDS}


def marked() -> dict[str, dict[str, str]]:
    """Rule id to kind to the first test that says it shows it, unit tests first."""
    found: dict[str, dict[str, str]] = {}
    paths = sorted((ROOT / "tests").rglob("test_*.py"), key=lambda path: ("unit" not in path.parts, str(path)))
    for path in paths:
        for name, mark in _marks(ast.parse(path.read_text(encoding="utf-8"))):
            for kind, rules in shown(mark).items():
                for rule in rules:
                    found.setdefault(rule, {}).setdefault(kind, f"{path.stem}::{name}")
    return found


def _marks(tree: ast.Module) -> Iterator[tuple[str, dict[str, str]]]:
    """Name of each marked test function, and what stands in its mark."""
    for node in tree.body:
        if isinstance(node, ast.FunctionDef):
            for mark in node.decorator_list:
                if isinstance(mark, ast.Call) and ast.unparse(mark.func) == "pytest.mark.rules":
                    yield node.name, {word.arg or "": ast.literal_eval(word.value) for word in mark.keywords}

