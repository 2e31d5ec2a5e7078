"""The fence line: what was decided, before anything is computed from it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from planner.errors import OutOfRange
from planner.geometry.arrays import Floats, SameByValue, frozen
from planner.survey.fixes import Accuracy
from planner.units import Metre

Side = Literal["", "left", "right"]
"""Side of a line, looking along it; empty where it is not said."""


@dataclass(frozen=True, slots=True)
class Gate:
    """A gate on a fence line.

    Attributes:
        name: Name on the sheets, unique in the job.
        x: East of its middle in the working grid. [m]
        y: North of its middle. [m]
        width_m: Clear width between gate posts. [m]
        item: Item key of the gate; empty when to be chosen from the width.
    """

    name: str
    x: Metre
    y: Metre
    width_m: Metre
    item: str = ""


@dataclass(frozen=True, slots=True)
class Crossing:
    """A stretch that crosses water and is hung and strained by itself.

    Attributes:
        name: Name on the sheets, unique in the job.
        x: East of its middle in the working grid. [m]
        y: North of its middle. [m]
        span_m: Length between its own anchors. [m]
        depth_m: Depth of the bed below the banks. [m] None when unknown.
    """

    name: str
    x: Metre
    y: Metre
    span_m: Metre
    depth_m: Metre | None = None


@dataclass(frozen=True, slots=True)
class GroundStretch:
    """Metres of a line that lie in one ground class.

    Attributes:
        from_m: Ground plan distance where it starts. [m]
        to_m: Ground plan distance where it ends. [m]
        ground: Ground class key.
    """

    from_m: Metre
    to_m: Metre
    ground: str


@dataclass(frozen=True, eq=False)
class FenceLine(SameByValue):
    """One fence line in the working grid of its job.

    Attributes:
        name: Name on the sheets, unique in the job.
        fence: Key of its fence type.
        xy: Corners, east and north, finite, none repeated in succession. [m] Shape (n, 2), n >= 2. A closed line
            repeats its first corner at the end.
        closed: True when the line returns to its start; its start then carries an end assembly all the same.
        accuracy: Accuracy class of its corners.
        gates: Gates on it.
        crossings: Crossings on it.
        stretches: Ground classes along it; where none is given the ground is ``soil``.
        origin: File and row it was read from, for the sheets.
        corner_sd_m: Standard deviation of each corner as the fit found it, beside that of its class. [m] Shape (n,).
            None when the line was not fitted, or its corners have been replaced since.
        wires_on: Side of the posts on which the wires hang, looking along the line; empty where it is not decided.

    Raises:
        OutOfRange: Standard deviations that are not one to a corner, not finite or below zero.
    """

    name: str
    fence: str
    xy: Floats
    closed: bool = False
    accuracy: Accuracy = "unknown"
    gates: tuple[Gate, ...] = ()
    crossings: tuple[Crossing, ...] = ()
    stretches: tuple[GroundStretch, ...] = ()
    origin: str = ""
    corner_sd_m: Floats | None = None
    wires_on: Side = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "xy", frozen(self.xy))
        if self.corner_sd_m is None:
            return
        sd = frozen(self.corner_sd_m)
        if sd.shape != (len(self.xy),) or not ((sd >= 0) & (sd < np.inf)).all():
            raise OutOfRange(f"the standard deviations of the corners of '{self.name}' are not one to a corner, "
                             "finite and at least zero", remedy="give one to a corner, or none")
        object.__setattr__(self, "corner_sd_m", sd)

    def with_corners(self, xy: Floats) -> FenceLine:
        """The same line through other corners.

        As many corners as before keep the standard deviations of the fit: a corner moved by hand is not better known
        than it was. With more or fewer it is not known which corner is which, and the class alone says.

        Args:
            xy: Corners. [m] Shape (n, 2).
        """
        return replace(self, xy=frozen(xy), corner_sd_m=self.corner_sd_m if len(xy) == len(self.xy) else None)
