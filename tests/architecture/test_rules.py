"""Every rule id means one thing, and every finding names a rule that a table explains."""

from __future__ import annotations

import ast
import re
from collections import Counter
from pathlib import Path

PLANNER = Path(__file__).resolve().parents[2] / "planner"
RULE_ID = re.compile(r"^[a-z]+-[0-9]{2}$")


def tables() -> Counter[str]:
    """Rule ids of every table named RULES, with how often each stands in one."""
    found: Counter[str] = Counter()
    for path in PLANNER.rglob("*.py"):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            target = node.targets[0] if isinstance(node, ast.Assign) else getattr(node, "target", None)
            if isinstance(target, ast.Name) and target.id == "RULES" and isinstance(node.value, ast.Dict):
                found.update(key.value for key in node.value.keys if isinstance(key, ast.Constant))
    return found


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
