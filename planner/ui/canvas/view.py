"""Where the map is looked at from: its centre, how much ground a pixel covers, and the size of the window."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, TypeAlias

import numpy as np

from planner.geometry.arrays import Floats

Bounds: TypeAlias = tuple[float, float, float, float]
"""West, south, east, north. [m]"""

FINEST, COARSEST = 1e-4, 1e5
"""Least and greatest ground a pixel may cover. [m/px]"""


@dataclass(frozen=True, slots=True)
class MapView:
    """One look at the map. North is up; screen y grows downward.

    Attributes:
        x: East of the middle of the window. [m]
        y: North of the middle of the window. [m]
        units_per_px: Ground that one device-independent pixel covers. [m/px]
        width: Width of the window. [px]
        height: Height of the window. [px]
    """

    x: float
    y: float
    units_per_px: float
    width: int
    height: int

    def to_screen(self, x: Any, y: Any) -> tuple[Any, Any]:
        """Position in the window of a place on the ground; numbers or arrays of them. [px]"""
        return ((x - self.x) / self.units_per_px + self.width / 2.0,
                self.height / 2.0 - (y - self.y) / self.units_per_px)

    def to_map(self, sx: Any, sy: Any) -> tuple[Any, Any]:
        """Place on the ground of a position in the window; numbers or arrays of them. [m]"""
        return (self.x + (sx - self.width / 2.0) * self.units_per_px,
                self.y - (sy - self.height / 2.0) * self.units_per_px)

    def screen_xy(self, xy: Floats) -> Floats:
        """Positions in the window of places. Shape (n, 2) in and out. [px]"""
        scale = np.array([1.0 / self.units_per_px, -1.0 / self.units_per_px])
        return np.asarray((xy - (self.x, self.y)) * scale + (self.width / 2.0, self.height / 2.0))

    @property
    def bounds(self) -> Bounds:
        """The ground in sight."""
        half_w, half_h = self.width / 2.0 * self.units_per_px, self.height / 2.0 * self.units_per_px
        return self.x - half_w, self.y - half_h, self.x + half_w, self.y + half_h

    def panned(self, dx_px: float, dy_px: float) -> MapView:
        """The view after the map was pushed right and down by some pixels."""
        return replace(self, x=self.x - dx_px * self.units_per_px, y=self.y + dy_px * self.units_per_px)

    def zoom_at(self, factor: float, sx: float, sy: float) -> MapView:
        """The view enlarged by a factor while the ground under one window position stays where it is."""
        finer = float(np.clip(self.units_per_px / factor, FINEST, COARSEST))
        at_x, at_y = self.to_map(sx, sy)
        return replace(self, units_per_px=finer, x=at_x - (sx - self.width / 2.0) * finer,
                       y=at_y + (sy - self.height / 2.0) * finer)

    def resized(self, width: int, height: int) -> MapView:
        """The same centre and scale in a window of another size."""
        return replace(self, width=max(1, width), height=max(1, height))

    def fitted(self, bounds: Bounds, *, margin_px: float = 40.0) -> MapView:
        """The view that shows all of some bounds, with a margin; one place alone is shown at half a metre a pixel.

        Args:
            bounds: West, south, east, north. [m]
            margin_px: Room left on every side. [px]
        """
        west, south, east, north = bounds
        room_w, room_h = max(self.width - 2 * margin_px, 16.0), max(self.height - 2 * margin_px, 16.0)
        needed = max((east - west) / room_w, (north - south) / room_h)
        return replace(self, x=(west + east) / 2.0, y=(south + north) / 2.0,
                       units_per_px=float(np.clip(needed, FINEST, COARSEST)) if needed > 0.0 else 0.5)
