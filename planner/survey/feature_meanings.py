"""What things on the ground can mean for a job, and which facts of each the checks read: one table.

Import, drawing, typing in and checks derive from it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal

from planner.errors import BadSetting, OutOfRange
from planner.geometry.bearings import parse_direction
from planner.survey.features import Feature

Shape = Literal["point", "line", "area"]
FactKind = Literal["number", "text", "choice", "date", "bearing"]


@dataclass(frozen=True, slots=True)
class Fact:
    """A fact that a kind of feature can carry.

    Attributes:
        key: Name in the feature's attributes.
        label: What a person sees.
        kind: What its text must be.
        unit: Unit of a number.
        low: Least number.
        high: Greatest number.
        choices: What may be chosen.
        default: What is taken where nothing is said; empty where nothing may be taken.
    """

    key: str
    label: str
    kind: FactKind = "text"
    unit: str = ""
    low: float = 0.0
    high: float = 0.0
    choices: tuple[str, ...] = ()
    default: str = ""


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a feature can mean.

    Attributes:
        key: Its key, as ``Feature.meaning``.
        label: What a person sees.
        shapes: Shapes that it can have.
        means: What it means for the fences, in one sentence.
        facts: Facts that it can carry.
        words: Words by which a layer, a type or a code in other people's files is taken to mean it.
    """

    key: str
    label: str
    shapes: tuple[Shape, ...]
    means: str
    facts: tuple[Fact, ...] = ()
    words: tuple[str, ...] = ()


_ACCURACY = Fact("accuracy", "Accuracy", "choice", choices=(
    "survey", "rtk", "dgnss", "handheld", "traced", "unknown"), default="unknown")
_SHARE_HIGH = 100.0

MEANINGS: tuple[Meaning, ...] = (
    Meaning("boundary", "Boundary", ("line", "area"),
            "A fence on it is checked against how well both are known; only a licensed surveyor fixes it.",
            (_ACCURACY, Fact("neighbour", "Who owns the other side"),
             Fact("sd", "Standard deviation", "number", "m", 0.0, 1000.0),
             Fact("inside", "Own land lies", "choice", choices=("left", "right", "inside"), default="")),
            ("boundary", "boundaries", "cadastre", "cadastral", "parcel", "title")),
    Meaning("water", "Water", ("line", "area"),
            "A fence that meets it needs a crossing; set-backs are counted from it.",
            (Fact("part", "What is drawn", "choice", choices=("centreline", "edge", "bank top"), default="centreline"),
             Fact("width", "Width between banks", "number", "m", 0.0, 5000.0),
             Fact("flows", "Flows", "choice", choices=("as drawn", "against"), default=""),
             Fact("setback", "Set-back asked for", "number", "m", 0.0, 1000.0)),
            ("water", "creek", "river", "stream", "drain", "dam", "pond", "lake", "watercourse", "bank", "spring")),
    Meaning("flood", "Flood extent", ("area",),
            "Strains in it are kept short and by themselves, wires on the downstream side.",
            (Fact("risk", "How often", "choice", choices=("high", "medium", "low"), default="high"),),
            ("flood", "floodplain", "inundation")),
    Meaning("trees", "Trees", ("point", "area"), "They can fall on a fence that stands within their height.",
            (Fact("height", "Height", "number", "m", 0.0, 120.0, default="15"),
             Fact("state", "State", "choice", choices=("sound", "dead or dead limbs"), default="sound")),
            ("tree", "trees", "treeline", "timber")),
    Meaning("vegetation", "Bush or scrub", ("area",),
            "A line through it has to be cleared, where that is lawful; set-backs can be counted from its edge.",
            (Fact("kind", "Kind", "choice", choices=("native", "regrowth", "planted", "hedge", "not known"),
                  default="not known"),),
            ("vegetation", "bush", "scrub", "remnant", "woodland", "forest", "hedge", "planting")),
    Meaning("ground", "Ground class", ("area",),
            "Posts, ends, hold-downs and hours follow it along the very metres that it covers.",
            (Fact("class", "Ground class", default="ledge"),),
            ("ground", "rock", "ledge", "soil", "geology", "substrate")),
    Meaning("service", "Service", ("line", "point", "area"),
            "Nothing is driven or dug near it before its owner has shown where it lies.",
            (Fact("lies", "Lies", "choice", choices=("below ground", "above ground"), default="below ground"),
             Fact("what", "What it is", "choice", choices=("not known", "power", "water pipe", "telephone", "gas"),
                  default="not known"),
             Fact("clearance", "Kept clear", "number", "m", 0.0, 200.0)),
            ("service", "services", "utility", "power", "powerline", "pipe", "pipeline", "cable", "gas", "telecom")),
    Meaning("road reserve", "Road reserve", ("line", "area"),
            "A fence or its cleared strip in it needs the road's owner to agree.",
            (Fact("authority", "Who manages it"),), ("road", "road reserve", "roadside", "easement")),
    Meaning("track", "Track", ("line",), "Materials are carted along it.",
            (Fact("haul", "Carted along", "choice", choices=("yes", "no"), default="yes"),
             Fact("width", "Width", "number", "m", 0.0, 100.0)),
            ("track", "tracks", "lane track", "access", "laneway")),
    Meaning("trough", "Trough", ("point",), "Each paddock should reach one.", (), ("trough", "troughs", "tank")),
    Meaning("yard", "Yards", ("point", "area"), "Stock must get from every paddock to them.", (),
            ("yard", "yards", "pens", "shed")),
    Meaning("paddock", "Paddock", ("point", "area"), "Names the land that fences enclose, and what it is for.",
            (Fact("use", "Use", "choice", choices=("stock", "lane", "shut off"), default="stock"),
             Fact("stock", "Stock", "choice", choices=(
                 "not said", "cattle", "sheep", "goats", "horses", "deer", "mixed"), default="not said")),
            ("paddock", "paddocks", "field", "fields")),
    Meaning("existing fence", "Fence that stands", ("line",),
            "A new fence can join it, take it over, or has to wait until it is pulled out.",
            (Fact("fate", "It", "choice", choices=("stays", "is reused", "is pulled out"), default="stays"),
             Fact("built", "Year built", "number", "", 1800.0, 2200.0),
             Fact("seen", "Condition seen on", "date"),
             Fact("posts sound", "Posts that are sound", "number", "%", 0.0, _SHARE_HIGH),
             Fact("wires", "Wires", "choice", choices=("sound", "worn", "failed"), default=""),
             Fact("ends failed", "Ends that failed", "number", "", 0.0, 1000.0),
             Fact("posts", "Number of posts", "number", "", 0.0, 100000.0),
             Fact("type", "Fence type"),
             Fact("value", "Value new, a metre", "number", "", 0.0, 100000.0)),
            ("existing", "existing fence", "old fence", "fence", "fences")),
    Meaning("gate", "Gate that hangs already", ("point",),
            "Stock and machines pass there through a fence that stands.",
            (Fact("width", "Clear width", "number", "m", 0.3, 30.0),), ("existing gate", "old gate")),
    Meaning("protected", "Protected area", ("area", "line"), "Nothing is cleared or dug in it without leave.",
            (Fact("authority", "Who protects it"),), ("protected", "heritage", "sanctuary", "conservation", "reserve")),
    Meaning("photo point", "Photo point", ("point",), "A picture is taken there before and after.",
            (Fact("bearing", "Looks towards", "bearing", "deg"),),
            ("photo", "photo point", "photopoint", "camera")),
    Meaning("control point", "Ground-checked point", ("point",),
            "Shows how far a mapped layer lies off the ground.",
            (Fact("of", "Layer or file that it checks"), Fact("east", "East as mapped", "number", "m", -1e8, 1e8),
             Fact("north", "North as mapped", "number", "m", -1e8, 1e8)),
            ("control", "control point", "check point", "ground control")),
    Meaning("energiser", "Energiser", ("point",), "Feeds the electric wires that reach it.",
            (Fact("joules", "Output energy", "number", "J", 0.0, 1000.0),
             Fact("earth rods", "Earth rods", "number", "", 0.0, 100.0),
             Fact("rod length", "Length of a rod", "number", "m", 0.0, 10.0)),
            ("energiser", "energizer", "charger")),
)
BY_KEY: Mapping[str, Meaning] = {meaning.key: meaning for meaning in MEANINGS}


def number_of(feature: Feature, key: str) -> float | None:
    """A fact of a feature as a number, else its default, else None.

    Args:
        feature: The feature.
        key: Key of a number among the facts of its meaning.
    """
    fact = fact_of(feature.meaning, key)
    for text in (feature.fact(key), fact.default if fact else ""):
        try:
            number = float(text)
        except ValueError:
            continue
        if math.isfinite(number) and (fact is None or fact.low <= number <= fact.high):
            return number
    return None


def choice_of(feature: Feature, key: str) -> str:
    """A fact of a feature as it says, else its default.

    Args:
        feature: The feature.
        key: Key among the facts of its meaning.
    """
    fact = fact_of(feature.meaning, key)
    said = feature.fact(key).strip()
    if fact is None or not said:
        return fact.default if fact else said
    return said if not fact.choices or said in fact.choices else fact.default


def part_drawn(features: Iterable[Feature]) -> str:
    """What was drawn of some waters: ``centreline``, ``edge`` or ``bank-top``; empty where they differ or do not say.

    Args:
        features: The waters.
    """
    said = {choice_of(feature, "part").replace(" ", "-") if feature.fact("part") else "" for feature in features}
    return said.pop() if len(said) == 1 else ""


def fact_of(meaning: str, key: str) -> Fact | None:
    """The fact of a meaning that a key names; None where there is none.

    Args:
        meaning: Key of the meaning.
        key: Key of the fact.
    """
    known = BY_KEY.get(meaning)
    return next((fact for fact in known.facts if fact.key == key), None) if known else None


def checked_text(fact: Fact, text: str) -> str:
    """A text that a person gave for a fact, as it is kept.

    Args:
        fact: The fact.
        text: What was given; empty for nothing.

    Raises:
        BadSetting: It is no such number, choice, date or bearing.
    """
    said = text.strip()
    if not said or fact.kind == "text":
        return said
    if fact.kind == "choice":
        chosen = next((choice for choice in fact.choices if choice.lower() == said.lower()), None)
        if chosen is None:
            raise BadSetting(f"'{said}' is not one of {', '.join(fact.choices)}", where=fact.label,
                             remedy="choose one of them")
        return chosen
    if fact.kind == "date":
        try:
            return date.fromisoformat(said).isoformat()
        except ValueError:
            raise BadSetting(f"'{said}' is no date", where=fact.label, remedy="write it as 2026-03-31") from None
    if fact.kind == "bearing":
        try:
            return f"{parse_direction(said.removesuffix(fact.unit)):.4f}".rstrip("0").rstrip(".")
        except OutOfRange:
            raise BadSetting(f"'{said}' is no direction", where=fact.label,
                             remedy="write degrees from north, 0 to 360, or a compass point such as NE") from None
    try:
        number = float(said)
    except ValueError:
        number = math.nan
    if not fact.low <= number <= fact.high:
        raise BadSetting(f"'{said}' is not a number from {fact.low:g} to {fact.high:g} {fact.unit}".rstrip(),
                         where=fact.label, remedy="give one inside these limits")
    return said
