"""Ground classes along a line: the very metres that areas of rock, sand or soil cover, and what a person typed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any

import numpy as np
import shapely

from planner.alignment.corners import Measured
from planner.alignment.line import FenceLine, GroundStretch
from planner.geometry.arrays import Floats
from planner.geometry.lines import chainages
from planner.spec.ground_classes import GroundClass
from planner.survey.feature_meanings import choice_of
from planner.survey.features import Feature
from planner.units import Metre

DEFAULT_GROUND = "soil"
"""Ground class where nothing is said."""
ON_EDGE_M: Metre = 1e-6
"""What stands nearer than this to the edge of a stretch stands in it: coordinates are no better rounded than that."""

_Runs = list[tuple[float, float]]


def covered(line: FenceLine, ground: Measured, areas: Sequence[Feature],
            classes: Mapping[str, GroundClass]) -> tuple[GroundStretch, ...]:
    """Every stretch of a line of which the ground is known, from areas and as typed.

    What a person typed along the line goes before every area. Where areas overlap, the class in which a line post
    takes longer to set (the greater ``posts_factor``, then the greater ``ends_factor``) holds: a rock under soil is
    still a rock. Areas of a class that is not known are left out; the check of the ground says so.

    Args:
        line: Fence line.
        ground: The same line in ground plan distance.
        areas: Features that are areas of ground.
        classes: Ground classes by key.

    Returns:
        Stretches that do not overlap, but for those typed: the softer first, the harder after them, those typed last
        and in their own order, so that ``ground_at`` gives the harder one on a common edge.
    """
    if not areas:
        return line.stretches
    by_class: dict[str, list[Any]] = {}
    for area in areas:
        by_class.setdefault(choice_of(area, "class"), []).append(_shape(area.wkt))
    order = sorted((key for key in by_class if key in classes), reverse=True,
                   key=lambda key: (classes[key].posts_factor, classes[key].ends_factor, key))
    taken: _Runs = [(s.from_m, s.to_m) for s in line.stretches]
    found: list[GroundStretch] = []
    for key in order:
        runs = _joined(_runs_in(line.xy, ground, by_class[key]))
        found += [GroundStretch(a, b, key) for a, b in reversed(_without(runs, taken))]
        taken += runs
    return (*reversed(found), *line.stretches)


def ground_at(stretches: Sequence[GroundStretch], at: Floats) -> list[str]:
    """Ground class at some places; where stretches overlap or meet, the later one in the list holds.

    Args:
        stretches: Stretches of one line.
        at: Ground plan distances. [m] Shape (n,).
    """
    which = np.full(len(at), -1)
    for k, stretch in enumerate(stretches):
        which[(at >= stretch.from_m - ON_EDGE_M) & (at <= stretch.to_m + ON_EDGE_M)] = k
    return [stretches[k].ground if k >= 0 else DEFAULT_GROUND for k in which.tolist()]


def in_order(stretches: Sequence[GroundStretch], length_m: Metre) -> tuple[GroundStretch, ...]:
    """The stretches as a crew meets them: along the line, none overlapping, those of soil by default left out.

    Args:
        stretches: Stretches of one line; where they overlap the later one in the list holds.
        length_m: Length of the line in ground plan. [m]
    """
    cuts = np.unique(np.clip([edge for s in stretches for edge in (s.from_m, s.to_m)], 0.0, length_m))
    told: list[GroundStretch] = []
    for a, b in zip(cuts[:-1].tolist(), cuts[1:].tolist(), strict=True):
        middle = (a + b) / 2.0
        held = next((s.ground for s in reversed(stretches) if s.from_m <= middle <= s.to_m), "")
        if not held or b - a <= ON_EDGE_M:
            continue
        if told and told[-1].ground == held and a - told[-1].to_m <= ON_EDGE_M:
            a = told.pop().from_m
        told.append(GroundStretch(a, b, held))
    return tuple(told)


@lru_cache(maxsize=1024)
def _shape(wkt: str) -> Any:
    """An area, mended where it crosses itself; read once however many lines it covers."""
    shape = shapely.force_2d(shapely.from_wkt(wkt))
    return shape if shape.is_valid else shapely.make_valid(shape)


def _runs_in(xy: Floats, ground: Measured, shapes: Sequence[Any]) -> _Runs:
    """Ground plan distances between which a line runs in some areas, leg by leg so that it may cross itself."""
    legs = shapely.linestrings(np.stack((xy[:-1, :2], xy[1:, :2]), axis=1))
    starts = chainages(xy)
    at_corner = ground.chainage_m[ground.vertices]
    tree = shapely.STRtree(legs)
    runs: _Runs = []
    for shape in shapes:
        hit = np.sort(tree.query(shape, predicate="intersects"))
        parts, owner = shapely.get_parts(shapely.intersection(legs[hit], shape), return_index=True)
        straight = shapely.get_type_id(parts) == 1
        corners, of = shapely.get_coordinates(parts[straight], return_index=True)
        leg = hit[owner[straight]][of]
        along = starts[leg] + np.hypot(*(corners - xy[leg, :2]).T)
        low, high = np.full(straight.sum(), np.inf), np.full(straight.sum(), -np.inf)
        np.minimum.at(low, of, along)
        np.maximum.at(high, of, along)
        runs += zip(np.interp(low, starts, at_corner).tolist(), np.interp(high, starts, at_corner).tolist(),
                    strict=True)
    return runs


def _joined(runs: _Runs) -> _Runs:
    """Runs that overlap or meet made one, in order."""
    made: _Runs = []
    for a, b in sorted(runs):
        if made and a <= made[-1][1] + ON_EDGE_M:
            made[-1] = (made[-1][0], max(made[-1][1], b))
        else:
            made.append((a, b))
    return made


def _without(runs: _Runs, taken: _Runs) -> _Runs:
    """What is left of some runs outside others, in order."""
    left = runs
    for low, high in taken:
        left = [part for a, b in left for part in ((a, min(b, low)), (max(a, high), b))
                if part[1] - part[0] > ON_EDGE_M]
    return left
