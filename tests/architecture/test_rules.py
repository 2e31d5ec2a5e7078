"""Every rule id means one thing, and every finding names a rule that a table explains."""

from __future__ import annotations

import ast
import re
from collections import Counter
from pathlib import Path

import pytest

from tests import make_rule_table
from tests.rule_marks import KINDS, WITHOUT, marked

PLANNER = Path(__file__).resolve().parents[2] / "planner"
RULE_ID = re.compile(r"^[a-z]+-[0-9]{2}$")


def tables() -> Counter[str]:
    """Rule ids of every table named RULES, with how often each stands in one."""
    return Counter(rule for _, rule, _ in make_rule_table.rules())


def test_no_rule_id_stands_in_two_tables():
    assert [rule for rule, times in tables().items() if times > 1] == []


def test_every_rule_id_in_the_code_is_explained_by_a_table():
    known, used = set(tables()), set()
    for path in PLANNER.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Finding" and node.args \
                    and isinstance(node.args[0], ast.Constant):
                used.add(node.args[0].value)
    assert used
    assert sorted(used - known) == []
    assert all(RULE_ID.match(rule) for rule in known)


def test_every_rule_has_its_place_in_the_order_in_which_findings_are_told():
    from planner.findings import spoken_at

    last = spoken_at("no-such-rule")
    assert [rule for rule in tables() if spoken_at(rule) == last] == []


def test_the_table_of_checks_for_developers_is_that_of_the_code():
    """Where this fails, ``python tests/make_rule_table.py`` makes the table anew."""
    guide = (PLANNER.parent / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert make_rule_table.text() == guide.partition(make_rule_table.START)[2].partition(make_rule_table.END)[0].strip()


@pytest.mark.parametrize("kind", KINDS)
def test_every_rule_is_tried_in_each_way(kind: str):
    """The marks of tests say in which; the test run holds each to what it says."""
    assert make_rule_table.lacking()[kind] == []


@pytest.mark.parametrize(("kind", "without"), WITHOUT.items())
def test_what_cannot_be_tried_is_not_tried(kind: str, without: dict[str, str]):
    assert set(without) <= set(tables())
    assert [rule for rule, tests in marked().items() if kind in tests and rule in without] == []
    assert all(len(why.split()) > 2 for why in without.values())


def test_every_failure_is_answered_for():
    known = set(tables())
    assert len(make_rule_table.FAILURES) == 30
    assert [row[0] for row in make_rule_table.FAILURES if not make_rule_table.answered_by(row, known)] == []
