"""Paddocks: whether stock, people and machines get into each and out again, and whether there is water."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

import numpy as np
import shapely

from planner.findings import Finding, Place, Severity
from planner.geometry.arrays import Floats
from planner.settings import WALK
from planner.surroundings.paddocks import Land, Paddock, land_of
from planner.surroundings.reach import together
from planner.surroundings.situation import Situation
from planner.units import HECTARE_M2, Metre, SquareMetre
from planner.wording import few_listed

RULES = {
    "paddock-01": "a gate leads into every paddock and lane",
    "paddock-02": "gates lead from every paddock to the yards, or out where no yards are marked",
    "paddock-03": "land that is shut off has a gate for rescue and the fire unit",
    "paddock-04": "every paddock has water in it, on its edge, or through its lane",
    "paddock-05": "no part of a paddock is farther from its water than stock should walk",
}
EACH_UP_TO = 5
"""As many paddocks with the same trouble are told of one by one, more of them together."""
SLIVER_M2: SquareMetre = 1000.0
"""Land smaller than this that is marked as nothing is a guard, or left over between lines: no paddock that stock must
get into. [m2] Common practice, no source."""
_STEP_M: Metre = 25.0


def check_paddocks(situation: Situation) -> list[Finding]:
    """Whether paddocks can be got into, out of, and have water. Silent about what nothing is marked of.

    Args:
        situation: The situation.

    Source:
        Common practice, no source, but for the walk to water: ``settings.WALK``.
    """
    if not situation.lines:
        return []
    land = land_of(situation)
    if not land.paddocks:
        return []
    return [*_no_gate(land, situation), *_no_way(land, situation), *_shut_in(land, situation), *_dry(land, situation),
            *_far(land, situation)]


def place_of(paddock: Paddock) -> Place:
    """Where a finding about a paddock stands.

    Args:
        paddock: The paddock.
    """
    return Place(x=round(paddock.x, 2), y=round(paddock.y, 2))


def names_of(paddocks: Sequence[Paddock], *, most: int = 3) -> str:
    """Names of some paddocks in a row, the many cut short.

    Args:
        paddocks: The paddocks.
        most: How many are named.
    """
    return few_listed([f"'{paddock.name}'" for paddock in paddocks], most=most)


def one_by_one(found: Sequence[tuple[Paddock, str]], tell: Callable[[Paddock, str], Finding],
               together_as: Callable[[Sequence[tuple[Paddock, str]]], Finding]) -> Iterator[Finding]:
    """The same trouble of several paddocks: each by itself while they are few, else all in one.

    Args:
        found: Paddocks with what is to be said of each.
        tell: Makes the finding of one.
        together_as: Makes the finding of many.
    """
    if len(found) <= EACH_UP_TO:
        yield from (tell(paddock, words) for paddock, words in found)
    else:
        yield together_as(found)


def _ha(paddock: Paddock) -> str:
    return f"{paddock.area_m2 / HECTARE_M2:.2f} ha"


def _as_known(situation: Situation, paddocks: Sequence[Paddock]) -> tuple[Severity, str]:
    """How bad a missing gate is: gates in fences that stand may not be marked."""
    if situation.around.of("gate") or all(paddock.edge_known for paddock in paddocks):
        return "error", ""
    return "warning", ", as far as gates in the fences that stand are marked"


def _no_gate(land: Land, situation: Situation) -> Iterator[Finding]:
    lines = {one.line.name: one.line.xy for one in situation.lines}
    shut = [p for p in land.paddocks
            if p.use != "shut off" and not p.gates and not _is_loop(p, situation, lines)]
    remedy = ("Put a gate where stock are moved from: at a corner, towards the lane or the yards. Mark the gates that "
              "hang already in fences that stand; mark land that is shut off as such.")
    if len(shut) > EACH_UP_TO and not land.gates:
        severity, known = _as_known(situation, shut)
        yield Finding("paddock-01", severity, f"No gate: {len(shut)} paddocks are enclosed, {names_of(shut)}, and no "
                      f"gate leads into any{known}.", remedy, place_of(shut[0]))
        return
    for paddock in shut:
        severity, known = _as_known(situation, [paddock])
        if _is_sliver(paddock, situation):
            severity = "note"
        yield Finding("paddock-01", severity, f"'{paddock.name}': no gate leads into it{known}; it has "
                      f"{_ha(paddock)}.", remedy, place_of(paddock))


def _is_sliver(paddock: Paddock, situation: Situation) -> bool:
    """Whether it is small, marked as nothing, and holds neither yards nor a trough."""
    return paddock.area_m2 < SLIVER_M2 and not paddock.use_said and not any(
        situation.around.near(np.array([paddock.shape], dtype=object), meaning, within_m=0.0)
        for meaning in ("yard", "trough"))


def _is_loop(paddock: Paddock, situation: Situation, lines: Mapping[str, Floats]) -> bool:
    """Whether it is a sliver that one line cuts off by crossing itself, which is told of the line (line-03)."""
    if len(paddock.lines) != 1 or paddock.lines[0] not in lines or not _is_sliver(paddock, situation):
        return False
    return not shapely.is_simple(shapely.LineString(lines[paddock.lines[0]][:, :2]))


def _no_way(land: Land, situation: Situation) -> Iterator[Finding]:
    """Paddocks with gates from which none of the ways leads there, told once for those that gates join."""
    cut = {p.face: p for p in land.paddocks if p.use != "shut off" and p.gates and p.way is None}
    for group in together(cut, land.gates):
        paddocks = [cut[face] for face in group]
        severity, known = _as_known(situation, paddocks)
        yield Finding(
            "paddock-02", severity, f"{names_of(paddocks)}: no way through gates leads "
            f"{'from' if land.any_yards else 'out of'} {'it' if len(paddocks) == 1 else 'them'}"
            f"{' to the yards' if land.any_yards else ''}{known}.",
            "Put a gate between one of them and the lane, the yards or open land.", place_of(paddocks[0]))


def _shut_in(land: Land, situation: Situation) -> Iterator[Finding]:
    remedy = "One gate serves to get stock out that broke in, and to let the fire unit in."
    yield from one_by_one(
        [(p, "") for p in land.paddocks if p.use == "shut off" and not p.gates and not _is_sliver(p, situation)],
        lambda paddock, _: Finding("paddock-03", "note", f"'{paddock.name}': shut off, {_ha(paddock)}, without any "
                                   "gate.", remedy, place_of(paddock)),
        lambda several: Finding("paddock-03", "note", f"Shut off without any gate: {len(several)} pieces of land, "
                                f"{names_of([paddock for paddock, _ in several])}.", remedy, place_of(several[0][0])))


def _dry(land: Land, situation: Situation) -> Iterator[Finding]:
    if not land.any_water:
        return
    dry = [p for p in land.paddocks if p.use == "stock" and not p.water and not p.water_through]
    if not dry:
        return
    known = situation.around.of("trough", "water")
    shapes = np.array([shape for _, shape in known], dtype=object)
    which, nearest = shapely.STRtree(shapes).query_nearest(np.array([p.shape for p in dry], dtype=object),
                                                           all_matches=False)
    away = shapely.distance(np.array([dry[k].shape for k in which], dtype=object), shapes[nearest])
    said = [(dry[k], f"the nearest is {_water(known[n][0].name, known[n][0].meaning)}, {far:.0f} m from it")
            for k, n, far in zip(which.tolist(), nearest.tolist(), away.tolist(), strict=True)]
    remedy = "Set a trough in it or below a fence that it shares, or lead it to water through a lane."
    yield from one_by_one(
        said, lambda paddock, words: Finding(
            "paddock-04", "warning", f"'{paddock.name}': no water in it, on its edge or through its lane; {words}.",
            remedy, place_of(paddock)),
        lambda several: Finding(
            "paddock-04", "warning", f"No water: {len(several)} paddocks have none in them, on their edges or through "
            f"their lanes, {names_of([paddock for paddock, _ in several])}.", remedy, place_of(several[0][0])))


def _water(name: str, meaning: str) -> str:
    return f"'{name}'" if name else f"a {meaning} without a name" if meaning == "trough" else "water without a name"


def _far(land: Land, situation: Situation) -> Iterator[Finding]:
    limit = situation.settings.walk_to_water_m
    said = []
    for paddock in land.paddocks:
        waters = land.waters.get(paddock.face, ())
        if paddock.use != "stock" or not waters or _across(paddock) <= limit:
            continue
        far, x, y = farthest(paddock, waters)
        if far > limit:
            said.append((paddock, f"{far:.0f} m in a straight line from its water, at {x:.0f}, {y:.0f}"))
    remedy = "Set another trough nearer to there, or divide the paddock."
    yield from one_by_one(
        said, lambda paddock, words: Finding(
            "paddock-05", "warning", f"'{paddock.name}': it reaches {words}; more than the {limit:g} m that stock "
            "should walk.", remedy, place_of(paddock), WALK),
        lambda several: Finding(
            "paddock-05", "warning", f"A long walk to water: {len(several)} paddocks reach farther than {limit:g} m, "
            f"'{several[0][0].name}' {several[0][1]}.", remedy, place_of(several[0][0]), WALK))


def _across(paddock: Paddock) -> Metre:
    low_x, low_y, high_x, high_y = shapely.bounds(paddock.shape)
    return float(np.hypot(high_x - low_x, high_y - low_y))


def farthest(paddock: Paddock, waters: Sequence[object]) -> tuple[Metre, Metre, Metre]:
    """The place on the edge of a paddock that is farthest from its water: distance, east and north. [m]

    With one water the farthest place is always a corner; with several a place between them may lie farther, which this
    does not look for.

    Args:
        paddock: The paddock.
        waters: Shapes of its water.
    """
    xy = shapely.get_coordinates(shapely.segmentize(shapely.boundary(paddock.shape), _STEP_M))
    points = shapely.points(xy)
    away = np.min([shapely.distance(shape, points) for shape in waters], axis=0)
    k = int(np.argmax(away))
    return float(away[k]), float(xy[k, 0]), float(xy[k, 1])

