"""What can be marked on the ground, and what each mark means for the fences of the job."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import shapely

from planner.alignment.line import FenceLine
from planner.survey.features import Feature
from planner.units import Metre

Shape = Literal["point", "line", "area"]
SERVICE_M: Metre = 5.0
"""How near a fence may come to a service before it is told. [m] Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Field:
    """A field that a kind of mark has.

    Attributes:
        key: Name in the feature's attributes.
        label: What the card calls it.
        value: What it begins with.
        choices: What may be chosen; empty for a figure in metres.
    """

    key: str
    label: str
    value: str
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FeatureKind:
    """A kind of mark.

    Attributes:
        key: Its key.
        called: What the card calls it.
        meaning: The feature's meaning in the job.
        shape: point, line or area.
        means: What it means for the fences, in one sentence.
        fields: Its fields.
    """

    key: str
    called: str
    meaning: str
    shape: Shape
    means: str
    fields: tuple[Field, ...] = ()


KINDS: tuple[FeatureKind, ...] = (
    FeatureKind("water line", "creek or drain", "water", "line",
                "A crossing is proposed where a fence meets it, and set-backs are counted from it.",
                (Field("width", "Width between banks", ""),)),
    FeatureKind("water", "dam or pond", "water", "area",
                "A crossing is proposed where a fence meets it, and set-backs are counted from its edge."),
    FeatureKind("trees", "tree", "trees", "point", "It can fall on a fence that stands within its height.",
                (Field("height", "Height", "15"),)),
    FeatureKind("vegetation", "bush or scrub", "vegetation", "area",
                "A fence through it has to be cleared; set-backs can be counted from its edge."),
    FeatureKind("rock", "rock", "rock", "area", "Posts in it are drilled or moved; ends need another footing."),
    FeatureKind("service", "service", "service", "line",
                "Nothing is driven or dug near it before its owner has shown where it lies.",
                (Field("lies", "Lies", "below ground", ("below ground", "above ground")),
                 Field("what", "What it is", "not known", ("not known", "power", "water pipe", "telephone", "gas")))),
    FeatureKind("existing fence", "fence that stands", "existing fence", "line",
                "A new fence can join it, or has to wait until it is pulled out.",
                (Field("fate", "It", "stays", ("stays", "is pulled out")),)),
    FeatureKind("boundary", "boundary", "boundary", "line",
                "Shown on every sheet; it is only as good as where it was taken from."),
    FeatureKind("trough", "trough", "trough", "point", "Each part of a divided paddock should reach one."),
    FeatureKind("yard", "yard", "yard", "area", "Gates are best where stock walk to it."),
)
BY_KEY: Mapping[str, FeatureKind] = {kind.key: kind for kind in KINDS}


def effect_of(feature: Feature, lines: Sequence[FenceLine], length: Callable[[Metre], str]) -> str:
    """What one mark means for the fences there are, in one sentence.

    Args:
        feature: The mark.
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
    attributes = dict(feature.attributes)
    if feature.meaning == "trees":
        height = _number(attributes.get("height", ""))
        hit = _within(fences, shape.buffer(height)) if height else {}
        return _told("It can fall on", hit, length) or near
    if feature.meaning == "service":
        crossed = [name for name, fence in fences.items() if fence.intersects(shape)]
        told = _told(f"Within {length(SERVICE_M)} of it run", _within(fences, shape.buffer(SERVICE_M)), length)
        return (f"{', '.join(crossed)} {'crosses' if len(crossed) == 1 else 'cross'} it. " if crossed else "") + (
            told or near)
    if feature.meaning == "water":
        crossed = [name for name, fence in fences.items() if fence.intersects(shape)]
        return f"{', '.join(crossed)} {'meets' if len(crossed) == 1 else 'meet'} it." if crossed else near
    if feature.meaning in ("rock", "vegetation"):
        return _told("In it run", _within(fences, shape), length) or near
    return near


def _within(fences: Mapping[str, Any], area: Any) -> dict[str, Metre]:
    found = {name: float(fence.intersection(area).length) for name, fence in fences.items()}
    return {name: metres for name, metres in found.items() if metres > 0.0}


def _told(begin: str, found: Mapping[str, Metre], length: Callable[[Metre], str]) -> str:
    if not found:
        return ""
    return f"{begin} " + " and ".join(f"{length(metres)} of {name}" for name, metres in found.items()) + "."


def _number(text: str) -> float:
    try:
        return max(float(text), 0.0)
    except ValueError:
        return 0.0
