"""Grounds made of a formula, for the tests of the profile."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from planner.survey.ground import NONE, TERRAIN, Levels


@dataclass
class Made:
    """A terrain that knows a surface between two eastings."""

    surface: Callable[[np.ndarray, np.ndarray], np.ndarray]
    name: str = "made"
    cell_m: float | None = 2.0
    sd_m: float = 0.15
    kind: int = TERRAIN
    west: float = -np.inf
    east: float = np.inf
    noise_m: float = 0.05
    quantum_m: float = 0.0

    def levels(self, xy: np.ndarray) -> Levels:
        inside = (xy[:, 0] >= self.west) & (xy[:, 0] <= self.east)
        level = np.where(inside, self.surface(xy[:, 0], xy[:, 1]), np.nan)
        return Levels(level, np.where(inside, self.sd_m, np.nan), np.where(inside, self.kind, NONE).astype(np.int64))


def hill(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    return 200.0 + 10.0 * np.sin(x / 40.0) + 0.02 * y
