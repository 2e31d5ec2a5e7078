"""Short names: unique over the job, at most ten characters."""

from __future__ import annotations

import pytest

from planner.errors import OutOfRange
from planner.setout.numbering import (
    LONGEST_NAME,
    MOST_LINES,
    MOST_POSTS,
    line_code,
    peg_names,
    post_names,
    section_names,
)


def test_lines_are_lettered_without_a_gap_or_a_repeat() -> None:
    codes = [line_code(i) for i in range(20_000)]
    assert len(set(codes)) == len(codes)
    assert codes == sorted(codes, key=lambda c: (len(c), c))
    assert (codes[0], codes[25], codes[26], codes[27], codes[701], codes[702]) == ("A", "Z", "AA", "AB", "ZZ", "AAA")


@pytest.mark.parametrize("names", [peg_names, post_names, section_names])
@pytest.mark.parametrize("count", [0, 1, 9, 10, 999, 1000, 9999, 10_000, MOST_POSTS])
def test_names_are_unique_and_short_for_any_line(names, count: int) -> None:
    made = names(line_code(MOST_LINES - 1), count)
    assert len(made) == len(set(made)) == count
    assert all(len(name) <= LONGEST_NAME for name in made)


def test_sheets_sort_as_the_line_runs() -> None:
    assert post_names("A", 12_000) == sorted(post_names("A", 12_000))
    assert peg_names("A", 1200) == sorted(peg_names("A", 1200))


def test_no_name_of_one_line_is_a_name_of_another() -> None:
    pegs = [name for i in range(60) for name in peg_names(line_code(i), 150)]
    posts = [name for i in range(60) for name in post_names(line_code(i), 150)]
    assert len(set(pegs + posts)) == len(pegs) + len(posts)


def test_too_many_is_said() -> None:
    with pytest.raises(OutOfRange, match=r"line A: 100000 posts are more than .* split the line"):
        post_names("A", MOST_POSTS + 1)


@pytest.mark.parametrize("index", [-1, MOST_LINES])
def test_a_line_that_has_no_place_is_said(index: int) -> None:
    with pytest.raises(OutOfRange, match="counted from 0"):
        line_code(index)
