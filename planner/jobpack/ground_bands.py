"""Ground classes along a line as the drawings name them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from planner.alignment.ground_cover import in_order
from planner.job.plan import LinePlan
from planner.spec.ground_classes import GroundClass
from planner.units import Metre

BAND_FILL = "#c4bda4"
"""Tone under ground of which the class is known."""


@dataclass(frozen=True, slots=True)
class GroundBand:
    """A stretch of one ground class.

    Attributes:
        from_m: Ground plan distance where it starts. [m]
        to_m: Ground plan distance where it ends. [m]
        names: What to call it, the fullest first.
    """

    from_m: Metre
    to_m: Metre
    names: tuple[str, ...]


def ground_bands(line: LinePlan, classes: Mapping[str, GroundClass]) -> tuple[GroundBand, ...]:
    """Stretches of a line of which the ground was said, in its order.

    Args:
        line: Plan of the line.
        classes: Ground classes by key.
    """
    return tuple(GroundBand(s.from_m, s.to_m, _names(s.ground, classes))
                 for s in in_order(line.stretches, float(line.ground.chainage_m[-1])))


def _names(key: str, classes: Mapping[str, GroundClass]) -> tuple[str, ...]:
    if key not in classes:
        return (key,)
    return tuple(dict.fromkeys((classes[key].description, key)))
