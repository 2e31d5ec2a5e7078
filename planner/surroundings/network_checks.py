"""The network of fences: ends that hold what meets at them, and ends that reach the fences that stand."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from planner.findings import Finding, Place
from planner.sources import COMMON_PRACTICE
from planner.spec.end_assemblies import EndAssembly
from planner.surroundings.faces import SNAP_M
from planner.surroundings.network import Node, nodes_of
from planner.surroundings.situation import Situation
from planner.survey.feature_meanings import choice_of
from planner.units import Metre, kgf

RULES = {
    "network-01": "where fences meet, the end is as strong as the heaviest of them asks for",
    "network-02": "a line that should meet a fence that stands reaches it",
}
SHORT_OF_M: Metre = 5.0
"""As between lines of the job. [m] Common practice, no source."""
_FORMS = {"hand": 0, "post": 1, "diagonal": 2, "box": 2}


def check_network_of_fences(situation: Situation) -> list[Finding]:
    """What about the network of a job's fences is worth a look.

    Args:
        situation: The situation.

    Source:
        Common practice, no source. What an end assembly carries is not published; they are compared by their bracing.
    """
    if not situation.lines:
        return []
    return [*_held_by_lighter(situation), *_short_of_standing(situation)]


def _held_by_lighter(situation: Situation) -> Iterator[Finding]:
    assemblies = situation.catalogue.assemblies
    pulls = {planned.line.name: planned.fence.pull_n for planned in situation.lines}
    for node in nodes_of(situation):
        if len(node.lines) < 2 or node.assembly not in assemblies:
            continue
        heavier = [(name, key) for name, key in node.wanted if key in assemblies
                   and _strength(assemblies[key]) > _strength(assemblies[node.assembly])
                   and pulls[name] > pulls[node.lines[0]]]
        if heavier:
            name, key = max(heavier, key=lambda one: (_strength(assemblies[one[1]]), pulls[one[0]]))
            yield Finding(
                "network-01", "warning", f"'{name}' pulls with {_force(pulls[name])} at an end that is counted with "
                f"'{node.lines[0]}': {assemblies[node.assembly].description.lower()}, chosen for "
                f"{_force(pulls[node.lines[0]])}. '{name}' itself asks for {assemblies[key].description.lower()} "
                "(advisory).", f"Put '{name}' before '{node.lines[0]}' in the job, or build its end beside the light "
                "fence and tie the light fence to it.", _at(node), COMMON_PRACTICE)


def _strength(assembly: EndAssembly) -> tuple[int, int]:
    form = _FORMS[assembly.form]
    return form, assembly.spans if form == 2 else 0


def _force(newtons: float) -> str:
    return f"{newtons / 1000.0:.1f} kN ({kgf(newtons):.0f} kgf)"


def _at(node: Node) -> Place:
    return Place(node.lines[0], chainage_m=round(node.chainage_m, 2), x=round(node.x, 2), y=round(node.y, 2))


def _short_of_standing(situation: Situation) -> Iterator[Finding]:
    """Open ends that stop a few metres from a fence that stands and stays, and touch nothing."""
    stands = [(f, s) for f, s in situation.around.of("existing fence") if choice_of(f, "fate") != "is pulled out"]
    owners = np.array([k for k, p in enumerate(situation.lines) if not p.line.closed for _ in (0, 1)], dtype=np.int64)
    if not stands or not len(owners):
        return
    ends = shapely.get_point(situation.shapes[owners], np.tile([0, -1], len(owners) // 2))
    shapes = np.array([shape for _, shape in stands], dtype=object)
    which, near = shapely.STRtree(shapes).query_nearest(ends, max_distance=SHORT_OF_M, all_matches=False)
    gap = shapely.distance(ends[which], shapes[near])
    met, line = shapely.STRtree(situation.shapes).query(ends, predicate="dwithin", distance=SNAP_M)
    touching = set(met[owners[met] != line].tolist())
    for k, stand, away in zip(which.tolist(), near.tolist(), gap.tolist(), strict=True):
        if away <= SNAP_M or k in touching:
            continue
        planned = situation.lines[int(owners[k])]
        x, y = shapely.get_coordinates(ends[k])[0].tolist()
        name = stands[stand][0].name
        what = f"the fence that stands, '{name}'" if name else "a fence that stands"
        yield Finding(
            "network-02", "warning", f"The line stops {away:.1f} m short of {what}: stock walk through.",
            "Bring the end onto that fence, or leave a gap on purpose.",
            Place(planned.line.name, chainage_m=round(0.0 if k % 2 == 0 else float(planned.ground.chainage_m[-1]), 2),
                  x=round(x, 2), y=round(y, 2)), COMMON_PRACTICE)

