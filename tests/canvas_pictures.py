"""Pictures of widgets as arrays, and lines to draw, for the tests of the map."""

from __future__ import annotations

import numpy as np
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QWidget


def pixels(widget: QWidget) -> np.ndarray:
    """What a widget shows. Shape (rows, columns, 3)."""
    return as_array(widget.grab().toImage())


def differing(one: np.ndarray, other: np.ndarray) -> float:
    """Share of pixels that differ by more than a quarter of the range."""
    return float((np.abs(one.astype(int) - other).max(axis=2) > 64).mean())


def wandering(lines: int, corners: int, seed: int = 1, size: float = 4000.0) -> list[np.ndarray]:
    """Random wandering lines over a square."""
    random = np.random.default_rng(seed)
    heading = np.cumsum(random.normal(0, 0.5, (lines, corners)), axis=1) + random.uniform(0, 6.3, (lines, 1))
    steps = np.stack((np.cos(heading), np.sin(heading)), axis=2) * size / corners / 3
    return list(np.cumsum(steps, axis=1) + random.uniform(0, size, (lines, 1, 2)))


def as_array(image: QImage) -> np.ndarray:
    """An image as blue, green, red. Shape (rows, columns, 3)."""
    image = image.convertToFormat(QImage.Format.Format_RGB32)
    rows = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.bytesPerLine() // 4, 4)
    return rows[:, :image.width(), :3].copy()
