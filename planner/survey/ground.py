"""Ground levels: where they come from and how well they are known."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from planner.geometry.arrays import Floats, Integers, SameByValue
from planner.units import Metre

SOURCE_NAMES = ("none", "track", "terrain", "survey")
"""What a level was taken from, worst first; a profile stores the index into this tuple."""
NONE, TRACK, TERRAIN, SURVEY = range(4)


@dataclass(frozen=True, eq=False)
class Levels(SameByValue):
    """Levels at some positions.

    Attributes:
        level_m: Ground level. [m] Shape (n,), NaN where unknown.
        sd_m: Standard deviation of each level. [m] Shape (n,), NaN where unknown.
        source: Index into SOURCE_NAMES. Shape (n,).
    """

    level_m: Floats
    sd_m: Floats
    source: Integers


class Ground(Protocol):
    """Something that knows ground levels over an area."""

    @property
    def name(self) -> str:
        """What to call it on a sheet."""

    @property
    def cell_m(self) -> Metre | None:
        """Distance between its own measurements. [m] None for scattered points."""

    def levels(self, xy: Floats) -> Levels:
        """Levels at positions in the job's working grid.

        Args:
            xy: Positions, east and north. [m] Shape (n, 2).
        """


@dataclass(frozen=True, eq=False)
class RecordedLevels(SameByValue):
    """The profile taken along one fence line, kept in the job so that it can be planned again anywhere.

    Attributes:
        xy: The line's corners when it was taken; the record is stale once they differ. [m] Shape (m, 2).
        at_m: Grid distance along the line of each level. [m] Shape (n,), rising from 0 to the line's length.
        level_m: Ground level. [m] Shape (n,). NaN where unknown.
        sd_m: Standard deviation. [m] Shape (n,).
        source: Index into SOURCE_NAMES. Shape (n,).
        noise_m: Greatest noise among the sources; grade breaks are never looked for below twice this. [m]
        names: What the levels were taken from, for the sheets.
    """

    xy: Floats
    at_m: Floats
    level_m: Floats
    sd_m: Floats
    source: Integers
    noise_m: Metre
    names: tuple[str, ...]
