"""What ``check`` prints: findings as a person reads them on a terminal."""

from __future__ import annotations

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
