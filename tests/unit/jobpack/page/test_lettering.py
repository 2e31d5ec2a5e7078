"""Lettering: widths as the font file has them, breaks that lose nothing."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.errors import FileTrouble
from planner.jobpack.page.font_file import Letters, letters
from planner.jobpack.page.lettering import extent, fitted_size, line_height, paragraph, text_width, wrapped
from planner.jobpack.page.records import Text


def test_figures_have_one_width() -> None:
    assert len({round(text_width(figure, size_pt=9.0), 9) for figure in "0123456789"}) == 1


def test_width_grows_with_size_and_is_the_sum_of_letters() -> None:
    assert text_width("fence", size_pt=10.0) == pytest.approx(sum(text_width(c, size_pt=10.0) for c in "fence"))
    assert text_width("fence", size_pt=20.0) == pytest.approx(2 * text_width("fence", size_pt=10.0))


def test_bold_is_wider() -> None:
    assert text_width("strain", size_pt=9.0, weight="bold") > text_width("strain", size_pt=9.0)


def test_font_holds_what_sheets_print() -> None:
    for weight in ("regular", "semibold", "bold"):
        assert all(letters(weight).has(c) for c in "±°×−–·’⅛¼⅜½⅝¾⅞⅓⅔\u00a0\u202fé<")
    assert not letters("regular").has("\u25a1")


def test_damaged_font_is_said() -> None:
    with pytest.raises(FileTrouble, match="font that comes with the program is damaged"):
        Letters(b"\x00\x01\x00\x00\x00\x09not a font")


@given(st.text(alphabet="abc -/,m12\u00a0", max_size=80), st.floats(4.0, 60.0))
def test_wrapping_loses_nothing_but_blanks(text: str, width: float) -> None:
    lines = wrapped(text, width=width, size_pt=9.0)
    assert "".join("".join(lines).split()) == "".join(text.split())
    for line in lines:
        assert len(line) <= 1 or text_width(line.rstrip(), size_pt=9.0) <= width + 1e-6


def test_breaks_after_blanks_and_keeps_names_whole() -> None:
    assert wrapped("post A-0366 here", width=12.0, size_pt=9.0) == ("post", "A-0366", "here")
    assert wrapped("337.7\u00a0m", width=10.0, size_pt=9.0)[0].startswith("337.7")


def test_a_word_wider_than_the_column_is_broken_inside() -> None:
    lines = wrapped("Wollombi" * 6, width=20.0, size_pt=9.0)
    assert len(lines) > 1
    assert "".join(lines) == "Wollombi" * 6


def test_line_feeds_are_kept_and_empty_text_is_one_line() -> None:
    assert wrapped("a\nb", width=50.0, size_pt=9.0) == ("a", "b")
    assert wrapped("", width=50.0, size_pt=9.0) == ("",)


def test_fitted_size_shrinks_until_it_fits() -> None:
    size = fitted_size("a long heading that is too wide", width=20.0, size_pt=12.0, least_pt=4.0)
    assert 4.0 <= size < 12.0
    assert text_width("a long heading that is too wide", size_pt=size) == pytest.approx(20.0)
    assert fitted_size("short", width=50.0, size_pt=12.0) == 12.0


def test_extent_follows_the_side_it_hangs_on() -> None:
    left, middle, right = (extent(Text(50.0, 20.0, "post", 10.0, align=a)) for a in ("left", "middle", "right"))
    assert left[0] == pytest.approx(50.0)
    assert right[2] == pytest.approx(50.0)
    assert (middle[0] + middle[2]) / 2 == pytest.approx(50.0)
    assert left[1] < 20.0 < left[3]


def test_paragraph_sets_lines_a_line_apart() -> None:
    lines = paragraph(10.0, 30.0, "a few words in a narrow column", width=15.0, size_pt=9.0)
    assert len(lines) > 2
    assert lines[1].y - lines[0].y == pytest.approx(line_height(9.0))
    assert extent(lines[0])[1] == pytest.approx(30.0)
