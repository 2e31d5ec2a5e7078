"""The list before the first post: what only people can settle, why this job needs it, and how it stands today."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Literal

import shapely

from planner.findings import Finding
from planner.surroundings.clearances import KINDS, Clearance
from planner.surroundings.situation import Situation
from planner.survey.feature_meanings import choice_of
from planner.survey.features import Feature
from planner.units import Metre

RULES = {
    "before-01": "work that is issued for build stays so only while everything before the first post holds",
    "before-02": "what runs out says when",
}
ISSUED = "issued"
"""Kind of the clearance by which a person issues a job for build; its day and its reference say when and who."""
BESIDE_BOUNDARY_M: Metre = 5.0
"""A line nearer than this to a boundary counts as a fence on it. [m] Common practice, no source."""
OVERHEAD_M: Metre = 10.0
"""A line nearer than this to something above ground, in plan, needs its owner asked. [m] Common practice, no source."""
CORRIDOR_M: Metre = 3.0
"""Half of what is cleared and driven along a line. [m] Common practice, no source."""
WATERWAY_M: Metre = 3.0
"""Work nearer than this to water counts as work on it. [m] Common practice, no source."""
SOON_DAYS = 7
"""A clearance with fewer days to go is said to run out soon. [d] Common practice, no source."""
_RUN_OUT = ("services",)
_STANDS = {"run out": "has run out", "open": "is not settled"}

State = Literal["open", "settled", "runs out soon", "run out", "not needed"]


@dataclass(frozen=True, slots=True)
class Item:
    """One line of the list.

    Attributes:
        kind: Key of ``clearances.KINDS``, or a word of the job's own.
        about: Whom or what it is about; empty for the whole job.
        what: What has to be true.
        why: Why this job needs it, with the lines that do.
        clearance: What was written down of it; None for nothing.
        state: How it stands.
    """

    kind: str
    about: str
    what: str
    why: str
    clearance: Clearance | None
    state: State

    @property
    def holds(self) -> bool:
        """True when nothing remains to be done."""
        return self.state in ("settled", "runs out soon", "not needed")


def before_start(situation: Situation) -> tuple[Item, ...]:
    """The list of a job, in the order in which a careful contractor settles it.

    What the surroundings ask for comes from the features; what was written down without them is kept.

    Args:
        situation: The situation.

    Source:
        Common practice, no source. Local rules differ: what is needed, and how long it holds, is for a person to say.
    """
    if not situation.lines:
        return ()
    needed: dict[tuple[str, str], str] = {}
    for kind, about, why in _needs(situation):
        needed.setdefault((kind, about), why)
    written = {(c.kind, c.about): c for c in situation.clearances if c.kind != ISSUED}
    order = list(KINDS)
    keys = sorted({*needed, *written}, key=lambda key: (order.index(key[0]) if key[0] in order else len(order), key))
    return tuple(_item(key, needed.get(key, ""), written.get(key), situation.today) for key in keys)


def issued_on(items: Sequence[Item], clearances: Sequence[Clearance], findings: Sequence[Finding],
              today: date) -> Clearance | None:
    """By what a job counts as issued for build today; None while it is not.

    Args:
        items: The list.
        clearances: What was written down.
        findings: Findings of the plan; an error that is not waived holds it back.
        today: The day.
    """
    said = next((c for c in clearances if c.kind == ISSUED and c.holds_on(today)), None)
    if said is None or held_back_by(items, findings):
        return None
    return said


def held_back_by(items: Sequence[Item], findings: Sequence[Finding]) -> tuple[str, ...]:
    """What keeps a job from being issued for build, a few words each; empty when nothing does.

    Args:
        items: The list.
        findings: Findings of the plan.
    """
    open_ones = [f"{item.what}{f' ({item.about})' if item.about else ''}: {item.state}" for item in items
                 if not item.holds]
    errors = sum(f.severity == "error" and not f.waived and not f.rule.startswith("before-") for f in findings)
    return (*open_ones, *([f"{errors} {'error' if errors == 1 else 'errors'} to mend or to waive"] if errors else []))


def check_before_start(items: Sequence[Item], clearances: Sequence[Clearance], today: date) -> list[Finding]:
    """What about the list is worth a look: work issued although something does not hold, and what does not say when
    it runs out.

    Args:
        items: The list.
        clearances: What was written down.
        today: The day.
    """
    found: list[Finding] = []
    said = next((c for c in clearances if c.kind == ISSUED and c.holds_on(today)), None)
    missing = [item for item in items if not item.holds]
    if said is not None and missing:
        worst = sorted(missing, key=lambda item: item.state != "run out")
        named = [f"'{item.what}'{f' ({item.about})' if item.about else ''} {_STANDS[item.state]}" for item in worst[:3]]
        more = f", and {len(worst) - 3} more" if len(worst) > 3 else ""
        found.append(Finding(
            "before-01", "error", f"The job was issued for build on {said.settled}, but {', '.join(named)}{more}.",
            "Settle it before anyone digs, drives or clears; the sheets say 'not issued for build' until then."))
    found += [Finding(
        "before-02", "note", f"'{item.what}' does not say until when it holds.",
        "Write down its last day as the answer gives it; such answers usually hold for a few weeks.")
        for item in items if item.kind in _RUN_OUT and item.state == "settled" and item.clearance is not None
        and item.clearance.expires is None]
    return found


def _item(key: tuple[str, str], why: str, clearance: Clearance | None, today: date) -> Item:
    kind, about = key
    return Item(kind, about, KINDS.get(kind, kind), why, clearance, _state(clearance, today))


def _state(clearance: Clearance | None, today: date) -> State:
    if clearance is None:
        return "open"
    if clearance.not_needed:
        return "not needed"
    if clearance.settled is None or clearance.settled > today:
        return "open"
    if clearance.expires is None:
        return "settled"
    if clearance.expires < today:
        return "run out"
    return "runs out soon" if clearance.expires - today < timedelta(days=SOON_DAYS) else "settled"


def _needs(situation: Situation) -> Iterator[tuple[str, str, str]]:
    yield "services", "", "Posts are driven and holes are dug on every line."
    around = situation.around
    above = [(number, feature) for number, feature, _ in around.near(situation.shapes, "service", within_m=OVERHEAD_M)
             if choice_of(feature, "lies") == "above ground"]
    yield from _by_feature(situation, "overhead", above, "runs", "run", f"under it or within {OVERHEAD_M:g} m of it")
    yield from _boundaries(situation)
    water = [(number, feature) for number, feature, _ in around.near(situation.shapes, "water", within_m=WATERWAY_M)]
    yield from _for_job(situation, "waterway", water, "works at", "work at", "water",
                        also=[p.line.name for p in situation.lines if p.line.crossings])
    corridor = [(number, feature) for number, feature, _ in
                around.near(situation.shapes, "vegetation", within_m=CORRIDOR_M)]
    yield from _for_job(situation, "clearing", corridor, "goes through", "go through", "bush")
    road = [(number, feature) for number, feature, _ in
            around.near(situation.shapes, "road reserve", within_m=CORRIDOR_M)]
    yield from _by_feature(situation, "road", road, "runs", "run", "in it or beside it")
    protected = [(number, feature) for number, feature, _ in
                 around.near(situation.shapes, "protected", within_m=CORRIDOR_M)]
    yield from _by_feature(situation, "protected", protected, "runs", "run", "in it or beside it")


def _boundaries(situation: Situation) -> Iterator[tuple[str, str, str]]:
    """A fence that runs on or beside a boundary: its neighbour, and whether the boundary is surveyed."""
    for feature, names in _along_boundaries(situation):
        on = _told(names, "runs", "run")
        neighbour = feature.fact("neighbour")
        yield "neighbour", neighbour or feature.name, f"{on} on the boundary '{feature.name}'."
        if choice_of(feature, "accuracy") != "survey":
            yield "boundary", feature.name, f"{on} on '{feature.name}', which is not from a survey."


def _along_boundaries(situation: Situation) -> list[tuple[Feature, list[str]]]:
    """Boundaries along which lines run, one that is only met at a point left out."""
    found: dict[int, tuple[Feature, list[str]]] = {}
    for number, feature, shape in situation.around.near(situation.shapes, "boundary", within_m=BESIDE_BOUNDARY_M):
        course: Any = shape.boundary if shape.geom_type in ("Polygon", "MultiPolygon") else shape
        near = float(shapely.length(shapely.intersection(situation.shapes[number], course.buffer(BESIDE_BOUNDARY_M))))
        if near > 4.0 * BESIDE_BOUNDARY_M:
            found.setdefault(id(feature), (feature, []))[1].append(situation.lines[number].line.name)
    return list(found.values())


def _by_feature(situation: Situation, kind: str, met: Sequence[tuple[int, Feature]], one: str, several: str,
                where: str) -> Iterator[tuple[str, str, str]]:
    names: dict[str, list[str]] = {}
    for number, feature in met:
        names.setdefault(feature.name, []).append(situation.lines[number].line.name)
    for about, lines in names.items():
        yield kind, about, f"{_told(lines, one, several)} {where}."


def _for_job(situation: Situation, kind: str, met: Sequence[tuple[int, Feature]], one: str, several: str,
             unnamed: str, *, also: Sequence[str] = ()) -> Iterator[tuple[str, str, str]]:
    lines = [*(situation.lines[number].line.name for number, _ in met), *also]
    if lines:
        things = list(dict.fromkeys(feature.name for _, feature in met if feature.name))
        yield kind, "", f"{_told(lines, one, several)} {_listed(things) if things else unnamed}."


def _told(names: Sequence[str], one: str, several: str) -> str:
    """Names and what they do."""
    names = list(dict.fromkeys(names))
    return f"{_listed(names)} {one if len(names) == 1 else several}"


def _listed(names: Sequence[str]) -> str:
    if len(names) > 4:
        return f"{', '.join(names[:3])} and {len(names) - 3} more"
    return " and ".join(filter(None, (", ".join(names[:-1]), names[-1])))
