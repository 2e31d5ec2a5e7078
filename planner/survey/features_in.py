"""From measured lines, rings and points to features: shapes kept whole, meanings given, columns taken as facts."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import groupby
from typing import Any

import shapely

from planner.errors import BadSetting
from planner.findings import Finding, Place
from planner.survey.feature_meanings import BY_KEY, Fact, Shape, checked_text
from planner.survey.features import Feature
from planner.survey.fixes import MeasuredLine, MeasuredPoint
from planner.survey.meaning_words import CODE_COLUMNS, guessed_columns, guessed_meaning, letters, told_choices

RULES = {
    "feature-01": "what a column says of a feature fits the fact that it is taken for",
    "feature-02": "a feature has a shape that its meaning can have",
    "feature-03": "what a feature means is known",
}
UNKNOWN = "not said"
"""Meaning of what no word tells; it is kept and shown, and no check knows it."""
_PART = re.compile(r"(?: part \d+)?(?: hole \d+)?(?: \(\d+\))?$")
_CODED = tuple(key for key in BY_KEY if key != "gate")
"""Meanings that the code of a surveyed point can have; a gate in a survey is a gate of its fence."""
_SAME: Mapping[str, str] = {
    "overhead": "above ground", "aerial": "above ground", "above": "above ground", "underground": "below ground",
    "buried": "below ground", "below": "below ground", "electricity": "power", "electric": "power",
    "water": "water pipe", "telecom": "telephone", "surveyed": "survey", "gps": "handheld", "digitised": "traced",
    "bank-top": "bank top", "top of bank": "bank top", "water's edge": "edge", "centerline": "centreline"}
"""Other words for a choice."""


@dataclass(frozen=True)
class Taking:
    """How the things of a layer are taken.

    Attributes:
        meaning: Key of their meaning; empty for what each one's own words suggest.
        columns: Fact to the column that says it; a fact that is not named takes the column called like it, and one
            that names an empty column takes none.
        given: Fact to what holds of all of them where their column says nothing.
    """

    meaning: str = ""
    columns: Mapping[str, str] = field(default_factory=dict)
    given: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Thing:
    """Something that was read, its parts and holes together.

    Attributes:
        name: Its name.
        shape: Its shape in the grid. [m]
        kind: point, line or area.
        attributes: Fields of its row.
        accuracy: Accuracy class that its source suggests.
        file: Its file.
        row: Its row.
        layer: Its layer, else empty.
    """

    name: str
    shape: Any
    kind: Shape
    attributes: tuple[tuple[str, str], ...]
    accuracy: str
    file: str
    row: int
    layer: str

    @property
    def texts(self) -> tuple[str, ...]:
        """What is said of it, the most telling first."""
        said = {letters(key): value for key, value in reversed(self.attributes)}
        codes = [said[key] for key in CODE_COLUMNS if key in said]
        return (*codes, self.layer, self.name, re.sub(r".*[/\\]", "", self.file).partition(".")[0])


@dataclass(frozen=True)
class FeaturesRead:
    """What became of some things.

    Attributes:
        features: The features.
        findings: What did not fit, row by row.
    """

    features: tuple[Feature, ...]
    findings: tuple[Finding, ...]


def things(lines: Sequence[MeasuredLine], points: Sequence[MeasuredPoint]) -> tuple[Thing, ...]:
    """What was read, the parts and holes of one row put together again, in the order of the sources.

    Args:
        lines: Lines and rings in the grid.
        points: Points in it.
    """
    made: list[Thing] = []
    for (file, layer, row, _), group in groupby(lines, key=_row_of):
        mine = list(group)
        rings = [line for line in mine if line.kind == "ring"]
        straight = [line for line in mine if line.kind != "ring"]
        for part, kind in ((_area(rings), "area"), (_runs(straight), "line")):
            if part is not None:
                first = (rings if kind == "area" else straight)[0]
                name = first.name if len(mine) == 1 else _PART.sub("", first.name) or first.name
                made.append(Thing(name, part, kind, first.attributes, first.accuracy, file, row, layer))  # type: ignore[arg-type]
    for point in points:
        coded = point.attributes or ((("code", point.code),) if point.code else ())
        made.append(Thing(point.name, shapely.Point(point.x, point.y), "point", coded, point.accuracy, point.file,
                          point.row, dict(point.attributes).get("layer", "")))
    return tuple(made)


def features_of(found: Iterable[Thing], taking: Callable[[Thing], Taking]) -> FeaturesRead:
    """Features of some things.

    Nothing is dropped: a value that does not fit its fact is kept as it was read under another name and told with its
    row; a thing of no known meaning is kept as ``UNKNOWN``.

    Args:
        found: The things.
        taking: How each is taken.
    """
    features: list[Feature] = []
    wrong: list[Finding] = []
    unknown: list[Thing] = []
    for thing in found:
        how = taking(thing)
        meaning = how.meaning or guessed_meaning(thing.texts, thing.kind) or _closed_meaning(thing)
        if not meaning:
            unknown.append(thing)
        shape = _fitted(thing, meaning, wrong)
        features.append(Feature(thing.name, meaning or UNKNOWN, shape.wkt, _facts(thing, meaning, how, wrong),
                                f"{thing.file}, row {thing.row}"))
    for file in dict.fromkeys(thing.file for thing in unknown):
        mine = [thing for thing in unknown if thing.file == file]
        more = f" and {len(mine) - 1} more" if len(mine) > 1 else ""
        wrong.append(Finding("feature-03", "warning", f"Nothing tells what '{mine[0].name}'{more} means for the "
                             "fences; kept and shown, and no check knows it.",
                             "Say its meaning, or give the file a column 'type'.", Place(file=file, row=mine[0].row)))
    return FeaturesRead(tuple(features), tuple(wrong))


def coded_points(points: Sequence[MeasuredPoint]) -> FeaturesRead:
    """Features of those surveyed points whose code says that something stands there, such as a tree or a trough.

    Args:
        points: Points in the grid; gates, crossings, ground and corners are none.
    """
    meant = [coded_meaning(point) for point in points]
    made = things((), [point for point, meaning in zip(points, meant, strict=True) if meaning])
    keys = {id(thing): meaning for thing, meaning in zip(made, filter(None, meant), strict=True)}
    return features_of(made, lambda thing: Taking(keys[id(thing)]))


def coded_meaning(point: MeasuredPoint) -> str:
    """What the code of a surveyed point says that it means; empty for gates, crossings, ground, corners and the like.

    Args:
        point: The point.
    """
    return guessed_meaning([point.code], "point", _CODED)


def _row_of(line: MeasuredLine) -> tuple[str, str, int, tuple[tuple[str, str], ...]]:
    return line.file, dict(line.attributes).get("layer", ""), line.row, line.attributes


def _area(rings: Sequence[MeasuredLine]) -> Any:
    """Rings as one area: each that lies inside another is its hole, one inside a hole an island again."""
    polygons = [shapely.Polygon(ring.xy[:, :2]) for ring in rings if len(ring.xy) > 3]
    if not polygons:
        return _runs(rings) if rings else None
    if len(polygons) == 1:
        return polygons[0]
    whole: Any = None
    for polygon in sorted(polygons, key=lambda p: -p.area):
        sound = polygon if polygon.is_valid else shapely.make_valid(polygon)
        whole = sound if whole is None else shapely.symmetric_difference(whole, sound)
    return whole


def _runs(lines: Sequence[MeasuredLine]) -> Any:
    made = [shapely.LineString(line.xy[:, :2]) for line in lines]
    return None if not made else made[0] if len(made) == 1 else shapely.MultiLineString(made)


def _closed_meaning(thing: Thing) -> str:
    """The meaning of a line that closes, or an outline, whose words fit the other of the two."""
    if thing.kind == "line" and _closes(thing.shape):
        return guessed_meaning(thing.texts, "area")
    return guessed_meaning(thing.texts, "line") or guessed_meaning(thing.texts, "point") \
        if thing.kind == "area" else ""


def _closes(shape: Any) -> bool:
    return bool(shape.geom_type == "LineString" and shape.is_ring)


def _fitted(thing: Thing, meaning: str, wrong: list[Finding]) -> Any:
    """The shape as its meaning can have it: an outline as a line, a closed line as an area, a small area as a point."""
    known = BY_KEY.get(meaning)
    if known is None or thing.kind in known.shapes:
        return thing.shape
    if thing.kind == "line" and "area" in known.shapes and _closes(thing.shape):
        return shapely.Polygon(thing.shape)
    if thing.kind == "area" and "line" in known.shapes:
        return shapely.boundary(thing.shape)
    place = Place(file=thing.file, row=thing.row)
    if thing.kind == "area":
        wrong.append(Finding("feature-02", "note", f"'{thing.name}' is an area, and {known.label.lower()} is a point; "
                             "it is taken at its middle.", "Move it where it stands.", place))
        return shapely.point_on_surface(thing.shape)
    wrong.append(Finding("feature-02", "warning", f"'{thing.name}' is a {thing.kind}, and {known.label.lower()} can be "
                         f"{' or '.join(known.shapes)} only; kept as it was drawn, and checks may pass it by.",
                         "Draw it again, or give it another meaning.", place))
    return thing.shape


def _facts(thing: Thing, meaning: str, how: Taking, wrong: list[Finding]) -> tuple[tuple[str, str], ...]:
    """Facts of its meaning first, then every field as it was read."""
    known = BY_KEY.get(meaning)
    read = dict(thing.attributes)
    columns = {**guessed_columns(meaning, list(read)), **how.columns}
    words = told_choices(meaning, thing.texts)
    facts: dict[str, str] = {}
    refused: set[str] = set()
    for fact in known.facts if known else ():
        column = columns.get(fact.key, "")
        said = read.get(column, "")
        given = how.given.get(fact.key, "" if said else words.get(fact.key, ""))
        try:
            facts[fact.key] = as_fact(fact, said) if said else given and checked_text(fact, given)
        except BadSetting as trouble:
            refused.add(column)
            facts[fact.key] = given
            taken = given or fact.default
            wrong.append(Finding(
                "feature-01", "warning", f"{fact.label} of '{thing.name}': {trouble.what}; "
                f"{f'{taken} is taken' if taken else 'it is taken as not said'}.",
                f"Correct it in the column '{column}', or choose another column.",
                Place(file=thing.file, row=thing.row)))
    if "accuracy" in {fact.key for fact in (known.facts if known else ())} and not facts["accuracy"]:
        facts["accuracy"] = thing.accuracy if thing.accuracy != "unknown" else ""
    kept = tuple((key, value) for key, value in facts.items() if value)
    keys = {fact.key for fact in known.facts} if known else set()
    rest = tuple((f"{key} as read" if key in keys else key, value) for key, value in thing.attributes
                 if not (columns.get(key) == key and key in keys and key not in refused))
    return (*kept, *rest)


def as_fact(fact: Fact, text: str) -> str:
    """A text of a file as it is kept for a fact: units taken off numbers, other words for a choice understood.

    Args:
        fact: The fact.
        text: What the file says.

    Raises:
        BadSetting: It is no such number, choice or date.

    Example:
        >>> from planner.survey.feature_meanings import fact_of
        >>> as_fact(fact_of("trees", "height"), "18,5 m"), as_fact(fact_of("service", "lies"), "Overhead")
        ('18.5', 'above ground')
    """
    said = text.strip()
    if fact.kind == "number":
        number = re.fullmatch(rf"([+-]?\d+(?:[.,]\d+)?)\s*{re.escape(fact.unit)}?", said, re.IGNORECASE)
        return checked_text(fact, number[1].replace(",", ".") if number else said)
    if fact.kind == "date":
        return checked_text(fact, said.replace("/", "-")[:10])
    if fact.kind == "choice":
        word = said.casefold()
        same = _SAME.get(word, "")
        starts = [choice for choice in fact.choices if choice.startswith(word)]
        return checked_text(fact, same if same in fact.choices else starts[0] if len(starts) == 1 else said)
    return checked_text(fact, said)
