"""What ``check`` prints: findings as a person reads them on a terminal."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planner.commands.check import told
from planner.findings import Finding, Place


@pytest.mark.parametrize(("place", "where"), [
    (Place("Home", "A2", 120.04, 500.0, 600.0), "Home A2 at 120.0 m"), (Place("Home", x=500.4, y=600.6),
                                                                       "Home at 500, 601"),
    (Place(x=0.0, y=0.0), "at 0, 0"), (Place(file="a.csv", row=7), "a.csv row 7"), (Place(), "")])
def test_a_finding_says_where_it_stands(place: Place, where: str):
    first, message, remedy = told((Finding("line-10", "warning", "It is so.", "Do this.", place),)).split("\n")
    assert first.split(maxsplit=2)[:2] == ["look", "line-10"]
    assert first[len("look   line-10       "):] == where
    assert (message.strip(), remedy.strip()) == ("It is so.", "Do this.")


def test_nothing_and_what_was_waived():
    assert told(()) == "Nothing to look at."
    waived = Finding("line-10", "error", "It is so.", "Do this.").waive("it stays")
    assert told((waived,)).startswith("waived line-10")
    assert told((waived,)).endswith("Waived: it stays")


def test_what_several_findings_of_a_rule_ask_for_is_said_once_after_them():
    """And again where the remedy, the mark, or what was said when it was set aside is another."""
    one, other = (Finding("line-10", "error", f"It is {k}.", "Do this.", Place(k)) for k in "AB")
    rows = [row.strip() for row in told((one, other)).split("\n")]
    assert rows == ["ERROR  line-10       A", "It is A.", "ERROR  line-10       B", "It is B.", "Do this."]
    for apart in (other.waive("it stays"), replace(other, remedy="Do that."), replace(other, rule="line-12"),
                  replace(other, severity="note")):
        assert told((one, apart)).count("       Do th") == 2
