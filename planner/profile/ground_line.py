"""The ground along one fence line: level, slope distance and how well each is known."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.geometry.arrays import Floats, Integers, SameByValue
from planner.units import Metre


@dataclass(frozen=True, eq=False)
class GroundLine(SameByValue):
    """Profile of one line, in order of chainage.

    Chainage is ground plan distance: grid distance divided by the combined scale factor.

    Attributes:
        chainage_m: Ground plan distance of each profile point, strictly rising from 0. [m] Shape (n,).
        x: East in the working grid. [m] Shape (n,).
        y: North in the working grid. [m] Shape (n,).
        level_m: Ground level, every one finite (flat, and said so, where nothing is known). [m] Shape (n,).
        sd_m: Standard deviation of each level. [m] Shape (n,), NaN where unknown.
        source: Index into ``survey.ground.SOURCE_NAMES``. Shape (n,).
        slope_m: Slope distance from the start. [m] Shape (n,).
        vertices: Index of each of the line's corners among the profile points. Shape (m,).
        scale: Grid distance of each leg divided by its ground distance. Shape (m - 1,).
        noise_m: Greatest noise of the level sources along the line. [m]
    """

    chainage_m: Floats
    x: Floats
    y: Floats
    level_m: Floats
    sd_m: Floats
    source: Integers
    slope_m: Floats
    vertices: Integers
    scale: Floats
    noise_m: Metre

    def slope_at(self, chainage: Floats | float) -> Floats:
        """Slope distance from the start at some chainages. [m]

        Args:
            chainage: Ground plan distance. [m]
        """
        return np.asarray(np.interp(chainage, self.chainage_m, self.slope_m))

    def chainage_at_slope(self, slope: Floats | float) -> Floats:
        """Chainage at some slope distances from the start. [m]

        Args:
            slope: Slope distance. [m]
        """
        return np.asarray(np.interp(slope, self.slope_m, self.chainage_m))

    def level_at(self, chainage: Floats | float) -> Floats:
        """Ground level at some chainages. [m]

        Args:
            chainage: Ground plan distance. [m]
        """
        return np.asarray(np.interp(chainage, self.chainage_m, self.level_m))

    def place_at(self, chainage: Floats | float) -> tuple[Floats, Floats]:
        """East and north at some chainages. [m]

        Args:
            chainage: Ground plan distance. [m]
        """
        return (np.asarray(np.interp(chainage, self.chainage_m, self.x)),
                np.asarray(np.interp(chainage, self.chainage_m, self.y)))
