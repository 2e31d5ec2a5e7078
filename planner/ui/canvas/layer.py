"""Layers of lines: what was imported, many of them, never edited in place."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np

from planner.errors import OutOfRange
from planner.geometry.arrays import Floats, Integers, frozen
from planner.ui.canvas.view import Bounds

SMALL = 4000
"""Corners below which a layer is drawn as it is."""


@dataclass(frozen=True, eq=False)
class VectorLayer:
    """Lines drawn alike. Two layers are the same only when they are the same object.

    Attributes:
        name: What a person calls it.
        xy: Corners of all lines, one line after another, all finite. [m] Shape (n, 2).
        offsets: Where each line starts among the corners, and the number of corners at the end. Shape (k + 1,).
        role: What the lines mean, which decides their colour: a key of ``MapColours.lines``.
        width_px: Width of the lines. [px]
        names: Name of each line, for snapping; empty when they have none.
        origin: A place near the middle, taken off before drawing so that no digits are lost. [m]
    """

    name: str
    xy: Floats
    offsets: Integers
    role: str = "plain"
    width_px: float = 1.0
    names: tuple[str, ...] = ()
    origin: tuple[float, float] = field(default=(0.0, 0.0), init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "xy", frozen(np.asarray(self.xy, dtype=np.float64).reshape(-1, 2)))
        object.__setattr__(self, "offsets", frozen(self.offsets, np.int64))
        offsets = self.offsets
        if len(offsets) == 0 or offsets[0] != 0 or offsets[-1] != len(self.xy) or (np.diff(offsets) < 0).any():
            raise OutOfRange("the offsets of its lines do not match its corners", where=f"layer '{self.name}'")
        if not np.isfinite(self.xy).all():
            raise OutOfRange("a corner is no finite number", where=f"layer '{self.name}'")
        west, south, east, north = self.bounds or (0.0, 0.0, 0.0, 0.0)
        object.__setattr__(self, "origin", ((west + east) / 2.0, (south + north) / 2.0))

    @property
    def is_small(self) -> bool:
        """True when it is drawn as it is: so few corners need no levels."""
        return len(self.xy) < SMALL

    @property
    def bounds(self) -> Bounds | None:
        """West, south, east, north. [m] None when the layer is empty."""
        if not len(self.xy):
            return None
        (west, south), (east, north) = self.xy.min(axis=0).tolist(), self.xy.max(axis=0).tolist()
        return west, south, east, north

    @classmethod
    def of_lines(cls, name: str, lines: Iterable[Floats], *, role: str = "plain", width_px: float = 1.0,
                 names: tuple[str, ...] = ()) -> VectorLayer:
        """A layer of separate lines.

        Args:
            name: What a person calls it.
            lines: Corners of each line. [m] Shape (n, 2) each.
            role: What the lines mean.
            width_px: Width of the lines. [px]
            names: Name of each line.
        """
        parts = [np.asarray(line, dtype=np.float64)[:, :2] for line in lines]
        counts = np.array([0] + [len(part) for part in parts])
        return cls(name, np.concatenate([np.empty((0, 2)), *parts]), np.cumsum(counts), role, width_px, names)


def bounds_of(layers: Iterable[VectorLayer]) -> Bounds | None:
    """West, south, east, north of some layers together. [m] None when all are empty.

    Args:
        layers: The layers.
    """
    boxes = [box for box in (layer.bounds for layer in layers) if box is not None]
    if not boxes:
        return None
    all_boxes = np.array(boxes)
    west, south = all_boxes[:, :2].min(axis=0).tolist()
    east, north = all_boxes[:, 2:].max(axis=0).tolist()
    return west, south, east, north
