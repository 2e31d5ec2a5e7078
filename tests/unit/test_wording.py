"""Names in a row: all of them, or the first and how many more there are."""

from __future__ import annotations

import pytest

from planner.wording import few_listed, few_of, listed


@pytest.mark.parametrize(("count", "all_of_them", "few", "comma"), [
    (0, "", "", ""), (1, "a", "a", "a"), (2, "a and b", "a and b", "a, b"), (3, "a, b and c", "a, b and c", "a, b, c"),
    (4, "a, b, c and d", "a, b, c and 1 more", "a, b, c and 1 more")])
def test_names_in_a_row(count: int, all_of_them: str, few: str, comma: str):
    names = list("abcd"[:count])
    assert (listed(names), few_listed(names), few_of(names)) == (all_of_them, few, comma)
