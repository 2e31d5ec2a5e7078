"""Angles as people write them."""

from __future__ import annotations

import pytest

from planner.files.readers.angles import from_packed, from_text, may_be_packed


@pytest.mark.parametrize(
    ("text", "degrees"),
    [
        ("-37.57037203", -(37 + 57 / 60 + 3.7203 / 3600)),
        ("144.25295244", 144 + 25 / 60 + 29.5244 / 3600),
        ("-0.30", -0.5),
        ("12", 12.0),
        ("12.5", 12 + 50 / 60),
        ("0.5959999999", 59 / 60 + 59.99999 / 3600 + 0.00000 / 3600),
    ],
)
def test_packed_numbers(text: str, degrees: float):
    assert from_packed(text) == pytest.approx(degrees, abs=1e-8)


@pytest.mark.parametrize("text", ["37.60", "37.5960", "37.995", "", "a", "1e5", "1.2.3"])
def test_numbers_that_are_not_packed(text: str):
    assert from_packed(text) is None


def test_a_column_may_be_packed_only_when_every_number_may():
    assert may_be_packed(["-37.57037203", "-37.39101561"])
    assert not may_be_packed(["-37.57037203", "-37.39611561"])
    assert not may_be_packed(["-37.5", "-37.25"])
    assert not may_be_packed([])


@pytest.mark.parametrize(
    ("text", "degrees"),
    [
        ("144.5", 144.5),
        ("144,5", 144.5),
        ("-37° 57' 3.6\"", -37.951),
        ("37 57 3.6 S", -37.951),
        ("144.5E", 144.5),
        ("37.5 s", -37.5),
        ("144°30'", 144.5),
    ],
)
def test_written_angles(text: str, degrees: float):
    assert from_text(text) == pytest.approx(degrees, abs=1e-9)


@pytest.mark.parametrize("text", ["37 61 00", "37 10 61 S", "north", "", "1 2 3 4"])
def test_texts_that_are_no_angle(text: str):
    assert from_text(text) is None
