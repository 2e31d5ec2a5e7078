"""What a feature means for the fences that there are, in a sentence with figures."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import shapely

from planner.alignment.line import FenceLine
from planner.survey.feature_meanings import choice_of, number_of
from planner.survey.features import Feature
from planner.units import Metre

SERVICE_M: Metre = 5.0
"""How near a fence may come to a service before it is told. [m] Common practice, no source."""
_INSIDE = ("ground", "vegetation", "flood", "protected", "road reserve")
_ON = ("service", "existing fence", "boundary", "track")


def effect_of(feature: Feature, lines: Sequence[FenceLine], length: Callable[[Metre], str]) -> str:
    """What one feature means for the fences there are, in one sentence.

    Args:
        feature: The feature.
        lines: Fence lines of the job.
        length: Writes a length.
    """
    shape = shapely.from_wkt(feature.wkt)
    if shape.is_empty or not lines:
        return ""
    fences = {line.name: shapely.LineString(line.xy) for line in lines}
    nearest = min(fences, key=lambda name: fences[name].distance(shape))
    off = float(fences[nearest].distance(shape))
    near = f"The nearest fence, {nearest}, is {length(off)} away."
    if feature.meaning == "trees":
        height = number_of(feature, "height")
        hit = _within(fences, shape.buffer(height)) if height else {}
        return _told("It can fall on", hit, length) or near
    crossed = [name for name, fence in fences.items() if fence.intersects(shape)]
    if feature.meaning == "service":
        kept = number_of(feature, "clearance") or SERVICE_M
        told = _told(f"Within {length(kept)} of it run", _within(fences, shape.buffer(kept)), length)
        return (f"{_crossed(crossed, 'crosses', 'cross')} " if crossed else "") + (told or near)
    if feature.meaning in _INSIDE and shapely.get_dimensions(shape) == 2:
        where = f"On {choice_of(feature, 'class')} run" if feature.meaning == "ground" else "In it run"
        return _told(where, _within(fences, shape), length) or near
    if crossed and feature.meaning in ("water", *_ON, "road reserve", "protected"):
        return _crossed(crossed, *(("meets", "meet") if feature.meaning == "water" else ("crosses", "cross")))
    return near


def _crossed(names: Sequence[str], one: str, several: str) -> str:
    return f"{', '.join(names)} {one if len(names) == 1 else several} it."


def _within(fences: Mapping[str, Any], area: Any) -> dict[str, Metre]:
    found = {name: float(fence.intersection(area).length) for name, fence in fences.items()}
    return {name: metres for name, metres in found.items() if metres > 0.0}


def _told(begin: str, found: Mapping[str, Metre], length: Callable[[Metre], str]) -> str:
    if not found:
        return ""
    return f"{begin} " + " and ".join(f"{length(metres)} of {name}" for name, metres in found.items()) + "."
