"""Trees that can fall on a line, and trees where a strainer would stand."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from planner.findings import Finding
from planner.sources import COMMON_PRACTICE
from planner.surroundings.along import Meeting, by_line, meetings, spot, spot_at
from planner.surroundings.situation import Planned, Situation, chainage_at
from planner.survey.feature_meanings import choice_of, number_of
from planner.units import Metre
from planner.wording import counted, few_listed

RULES = {
    "tree-01": "no dead tree can fall on a line",
    "tree-02": "trees that can fall on a line are known",
    "tree-03": "no strainer stands at a tree",
}
AT_TREE_M: Metre = 1.0
"""A strainer nearer to a tree than this meets its roots, or is the tree. [m] Common practice, no source."""


def check_trees(situation: Situation) -> list[Finding]:
    """Trees within their height of each line, the dead ones first, and ends that stand at a tree.

    Args:
        situation: The situation.

    Source:
        Common practice, no source: a tree falls as far as it is high.
    """
    near = meetings(situation, "trees", lambda feature: number_of(feature, "height") or 0.0)
    findings: list[Finding] = []
    told: set[tuple[int, int]] = set()
    points = meetings(situation, "trees", lambda feature: AT_TREE_M)
    for planned, mine in by_line(one for one in points if one.shape.geom_type.endswith("Point")):
        found = _ends_at(planned, mine)
        told |= {(mine[w].number, id(mine[w].feature)) for _, w in found}
        findings += _at_tree(planned, found)
    for planned, mine in by_line(near):
        off = shapely.distance(np.array([one.course for one in mine]), np.array([one.shape for one in mine]))
        mine = [one for one, far in zip(mine, off.tolist(), strict=True)
                if far < (number_of(one.feature, "height") or 0.0) - 1e-9]
        dead = [one for one in mine if choice_of(one.feature, "state") != "sound"]
        sound = [one for one in mine if choice_of(one.feature, "state") == "sound"
                 and (one.number, id(one.feature)) not in told]
        findings += [*_can_fall(planned, dead, is_dead=True), *_can_fall(planned, sound, is_dead=False)]
    return findings


def _can_fall(planned: Planned, mine: list[Meeting], *, is_dead: bool) -> Iterator[Finding]:
    if not mine:
        return
    off = [float(one.course.distance(one.shape)) for one in mine]
    nearest = mine[int(np.argmin(off))]
    at = float(shapely.line_locate_point(nearest.course, shapely.get_point(
        shapely.shortest_line(nearest.course, nearest.shape), 0)))
    what = counted(len(mine), "tree") if not is_dead else f"{counted(len(mine), 'tree')} dead or with dead limbs"
    name = f" '{nearest.feature.name}'" if nearest.feature.name else ""
    where = f"{min(off):.1f} m off at {chainage_at(planned, at):.1f} m"
    which = f"the nearest{name} {where}" if len(mine) > 1 else f"{name.strip()} {where}".strip()
    if is_dead:
        yield Finding(
            "tree-01", "warning", f"{what} {'stand' if len(mine) > 1 else 'stands'} within falling distance of the "
            f"line, {which}.", "Have the limbs or trees taken down before the wire goes up where that is lawful, or "
            "move the line; let nobody work beneath them in wind.", spot(planned, at), COMMON_PRACTICE)
    else:
        yield Finding(
            "tree-02", "note", f"{what} {'stand' if len(mine) > 1 else 'stands'} within falling distance of the line, "
            f"{which}.", "Count on repairs there, or move the line a tree's height away.", spot(planned, at),
            COMMON_PRACTICE)


def _ends_at(planned: Planned, mine: list[Meeting]) -> list[tuple[Metre, int]]:
    """Ends that stand at trees: their chainage, and which of the trees."""
    ends = np.unique([round(at, 3) for s in planned.sections for at in (s.from_m, s.to_m)])
    x, y = planned.ground.place_at(ends)
    tree = shapely.STRtree(shapely.points(x, y))
    which, end = tree.query(np.array([one.shape for one in mine]), predicate="dwithin", distance=AT_TREE_M)
    return sorted({(float(ends[e]), int(w)) for w, e in zip(which, end, strict=True)
                   if mine[int(w)].shape.distance(shapely.Point(x[e], y[e])) < AT_TREE_M - 1e-9})


def _at_tree(planned: Planned, found: list[tuple[Metre, int]]) -> Iterator[Finding]:
    if found:
        places = [f"{at:.1f} m" for at in dict.fromkeys(at for at, _ in found)]
        yield Finding(
            "tree-03", "warning",
            f"{'A strainer' if len(places) == 1 else f'{len(places)} strainers'} would stand less than"
            f" {AT_TREE_M:g} m from a tree, at {few_listed(places)}.",
            "Move the end clear of the roots; a live tree is no strainer: it grows over wire and moves in the wind.",
            spot_at(planned, found[0][0]), COMMON_PRACTICE)
