"""What the fields of a row say of its name."""

from __future__ import annotations

import pytest

from planner.files.readers.attributes import name_in


@pytest.mark.parametrize(("fields", "name"), [
    ({"name": "House  paddock"}, "House paddock"),
    ({"name": "a" * 40, "id": "7"}, "a" * 40),
    ({"name": "a1b2" * 7 + "a1b", "id": "7"}, "a1b2" * 7 + "a1b"),
    ({"name": "a1b2" * 8, "id": "7"}, "7"),
    ({"name": "ID is " + "4F" * 32, "localid": "4F" * 32}, ""),
    ({"label": "A long name of many short words that goes on and on over the edge of every sheet there is"},
     "A long name of many short words that goes on and on over the edge of every sheet"),
    ({}, ""),
])
def test_the_first_name_that_a_person_can_say(fields, name):
    assert name_in(fields) == name
