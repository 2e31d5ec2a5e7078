"""From chainage and level to the strip's pixels and back."""

from __future__ import annotations

import math
from dataclasses import dataclass

from PySide6.QtCore import QRectF

from planner.geometry.arrays import Floats
from planner.jobpack.page.measures import grouped
from planner.units import Metre

_STEPS = (1.0, 2.0, 5.0)


@dataclass(frozen=True)
class StripScale:
    """How a stretch of a line lies on the strip.

    Attributes:
        field: Where ground and wires are drawn. [px]
        from_m: Chainage at its left edge. [m]
        to_m: Chainage at its right edge. [m]
        low_m: Level at its lower edge. [m]
        high_m: Level at its upper edge. [m]
    """

    field: QRectF
    from_m: Metre
    to_m: Metre
    low_m: Metre
    high_m: Metre

    @property
    def px_per_m(self) -> float:
        """Pixels to a metre along the line."""
        return self.field.width() / max(self.to_m - self.from_m, 1e-6)

    @property
    def px_per_level(self) -> float:
        """Pixels to a metre of level."""
        return self.field.height() / max(self.high_m - self.low_m, 1e-6)

    @property
    def exaggeration(self) -> float:
        """How many times steeper it looks than it is."""
        return self.px_per_level / self.px_per_m

    def x(self, chainage: Floats | float) -> Floats:
        """Pixels across at some chainages."""
        return self.field.left() + (chainage - self.from_m) * self.px_per_m  # type: ignore[return-value]

    def y(self, level: Floats | float) -> Floats:
        """Pixels down at some levels."""
        return self.field.bottom() - (level - self.low_m) * self.px_per_level  # type: ignore[return-value]

    def chainage(self, x: float) -> Metre:
        """Chainage at a place across, kept within the stretch."""
        return min(max(self.from_m + (x - self.field.left()) / self.px_per_m, self.from_m), self.to_m)


def round_step(span: float, most: int) -> float:
    """The smallest of 1, 2, 5, 10, ... that divides a span into no more than some parts.

    Args:
        span: What to divide; above zero.
        most: Most parts.
    """
    rough = span / max(most, 1)
    size = 10.0 ** math.floor(math.log10(max(rough, 1e-9)))
    return next((size * s for s in _STEPS if size * s >= rough), size * 10.0)


def round_places(low_m: Metre, high_m: Metre, most: int, unit_m: Metre = 1.0) -> list[tuple[Metre, str]]:
    """Places along an axis that are round in the unit shown, each with its figure.

    Args:
        low_m: Where the axis starts. [m]
        high_m: Where it ends. [m]
        most: Most steps.
        unit_m: The unit shown. [m]

    Returns:
        Place [m] and figure.

    Example:
        >>> [figure for _, figure in round_places(0.0, 304.8, 5, 0.3048)]
        ['0', '200', '400', '600', '800', '1\u202f000']
    """
    step = round_step((high_m - low_m) / unit_m, most)
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    first, last = math.ceil(low_m / unit_m / step - 1e-9), math.floor(high_m / unit_m / step + 1e-9)
    return [(number * step * unit_m, grouped(number * step, decimals)) for number in range(first, last + 1)]
