"""Labels moved apart: in order, inside, and as near as can be."""

from __future__ import annotations

from itertools import pairwise

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import lsq_linear

from planner.jobpack.page.records import Text
from planner.jobpack.page.spread import APART_MM, Room, around, kept_apart, text_shape


@given(st.lists(st.floats(0.0, 100.0), max_size=40), st.floats(0.5, 6.0))
def test_kept_apart_inside_and_in_order(wanted: list[float], least: float) -> None:
    wanted = sorted(wanted)
    places = kept_apart(wanted, least=least, low=0.0, high=100.0)
    assert len(places) == len(wanted)
    assert all(-1e-9 <= p <= 100.0 + 1e-9 for p in places)
    real = min(least, 100.0 / max(len(wanted) - 1, 1))
    assert all(b - a >= real - 1e-7 for a, b in pairwise(places))


@given(st.lists(st.floats(10.0, 90.0), min_size=2, max_size=8))
def test_nearest_in_least_squares(wanted: list[float]) -> None:
    wanted = sorted(wanted)
    places = kept_apart(wanted, least=3.0, low=-1e6, high=1e6)
    # places = first + sum of gaps, each gap 3 or more: bounded least squares by a general-purpose solver
    count = len(wanted)
    steps = [[1.0 if j <= i else 0.0 for j in range(count)] for i in range(count)]
    best = lsq_linear(steps, wanted, bounds=([-1e6] + [3.0] * (count - 1), [1e6] * count))
    ours = sum((p - w) ** 2 for p, w in zip(places, wanted, strict=True))
    assert ours == pytest.approx(2.0 * best.cost, abs=1e-3)


def test_a_label_takes_a_free_side_or_none() -> None:
    room, frame = Room(), shapely.box(0.0, 0.0, 100.0, 100.0)
    first = room.place(around(50.0, 50.0, "A001", away=2.0, size_pt=6.0), frame)
    second = room.place(around(50.0, 50.0, "A002", away=2.0, size_pt=6.0), frame)
    assert first is not None
    assert second is not None
    assert not text_shape(first).intersects(text_shape(second))
    assert room.place(around(50.0, 50.0, "much too long for this frame " * 6, away=2.0, size_pt=9.0), frame) is None


@pytest.mark.parametrize(("gap", "free"), [(APART_MM + 0.01, True), (APART_MM - 0.01, False)])
def test_a_label_keeps_off_what_stands_beside_it(gap: float, free: bool) -> None:
    room, frame, text = Room(), shapely.box(0.0, 0.0, 100.0, 100.0), Text(20.0, 50.0, "Water main")
    _, _, right, _ = text_shape(text).bounds
    room.take(shapely.box(right + gap, 40.0, right + gap + 5.0, 60.0))
    assert (room.place([text], frame) is text) is free


def test_turned_text_stands_upright() -> None:
    left, top, right, bottom = text_shape(Text(10.0, 50.0, "1 482 −3.1°", 6.5, angle_deg=90.0)).bounds
    assert bottom - top > 3 * (right - left)
