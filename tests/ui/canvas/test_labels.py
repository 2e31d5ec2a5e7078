from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from PySide6.QtCore import QRectF, QSizeF
from PySide6.QtGui import QFont

from planner.render.fonts import load_fonts
from planner.ui.canvas.labels import Label, card_size, place_labels


def many(count: int, seed: int = 1) -> list[Label]:
    random = np.random.default_rng(seed)
    return [Label(f"{i}", x, y, float(i)) for i, (x, y) in enumerate(random.uniform(0, 2000, (count, 2)).tolist())]


@settings(deadline=None, max_examples=20)
@given(st.integers(0, 10_000), st.floats(0.2, 20.0))
def test_labels_never_overlap(seed: int, units_per_px: float) -> None:
    labels = many(150, seed)
    placed = place_labels(labels, [QSizeF(60, 20)] * len(labels), units_per_px)
    boxes = [one.box for one in placed]
    assert boxes
    assert not any(a.intersects(b) for i, a in enumerate(boxes) for b in boxes[:i])


def test_the_weightier_label_stays() -> None:
    labels = [Label("light", 0.0, 0.0, 1.0, ((0.0, 0.0),)), Label("heavy", 5.0, 0.0, 2.0, ((0.0, 0.0),))]
    placed = place_labels(labels, [QSizeF(40, 16)] * 2, 1.0)
    assert [one.label.text for one in placed] == ["heavy"]


def test_a_label_takes_its_next_place_when_the_first_is_taken() -> None:
    labels = [Label("one", 0.0, 0.0, 2.0, ((0.0, 0.0),)), Label("two", 0.0, 0.0, 1.0, ((0.0, 0.0), (0.0, 40.0)))]
    placed = place_labels(labels, [QSizeF(40, 16)] * 2, 1.0)
    assert [one.box.center().y() for one in placed] == [0.0, 40.0]


def test_blocked_boxes_are_kept_clear() -> None:
    blocked = [QRectF(-10, -10, 20, 20)]
    assert place_labels([Label("one", 0.0, 0.0, 1.0, ((0.0, 0.0),))], [QSizeF(10, 10)], 1.0, blocked=blocked) == ()


def test_a_card_holds_its_text(qapp) -> None:
    font = QFont(load_fonts())
    assert card_size("A12 · 348 m", font).width() > card_size("A1", font).width() > 0
