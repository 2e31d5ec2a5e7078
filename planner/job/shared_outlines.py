"""Single fence lines made of the outlines of neighbouring paddocks, so that a shared edge is built once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from planner.alignment.junctions import shared_stretches
from planner.alignment.line import FenceLine
from planner.alignment.shared_boundaries import network_lines, shared_boundaries
from planner.errors import JobTrouble
from planner.geometry.arrays import frozen
from planner.geometry.lines import chainages, nearest_on
from planner.job.job import Job
from planner.job.names import Names
from planner.survey.ground import RecordedLevels
from planner.units import Metre

_ON_IT_M: Metre = 1e-3


def with_shared_edges(job: Job, names: Sequence[str]) -> Job:
    """A job with a network of single lines in the place of some outlines; the very same job when no edge is shared.

    Args:
        job: The job.
        names: Names of closed lines of one fence type.

    Raises:
        JobTrouble: One of them is not there, or cannot share.
    """
    rings = _rings(job, names)
    network = shared_boundaries([(ring.name, shapely.Polygon(ring.xy[:, :2])) for ring in rings])
    if not any(line.is_shared for line in network.lines):
        return job
    kept = [line for line in job.lines if line.name not in names]
    free = Names(line.name for line in kept)
    made = _with_openings([replace(line, name=free.own(line.name), accuracy=rings[0].accuracy, origin=rings[0].origin)
                           for line in network_lines(network, fence=rings[0].fence)], rings)
    levels = {name: found for name, found in job.levels.items() if name not in names}
    levels |= {line.name: found for line in made if (found := _levels(line, rings, job)) is not None}
    return replace(job, lines=(*kept, *made), levels=levels)


def outlines_that_share(job: Job) -> tuple[str, ...]:
    """Names of the closed lines of a job that run along each other, in the job's order.

    Args:
        job: The job.
    """
    stretches = shared_stretches([line for line in job.lines if line.closed])
    along = {name for stretch in stretches for name in (stretch.line, stretch.other)}
    return tuple(line.name for line in job.lines if line.name in along)


def _rings(job: Job, names: Sequence[str]) -> list[FenceLine]:
    rings = [line for line in job.lines if line.name in names]
    unknown = next((name for name in names if all(line.name != name for line in rings)), None)
    if unknown is not None:
        raise JobTrouble(f"there is no line '{unknown}'", remedy="choose lines that are in the job")
    if len(rings) < 2:
        raise JobTrouble("edges are shared between two outlines at least", remedy="choose more")
    spoken_of = {name for option in job.options for name in option.lines}
    spoken_of |= {name for stage in job.stages for name in stage.lines}
    for ring in rings:
        if not ring.closed or len(ring.xy) < 4 or not shapely.Polygon(ring.xy[:, :2]).is_valid:
            raise JobTrouble(f"'{ring.name}' is no outline that could share an edge",
                             remedy="close it, or mend where it crosses itself")
        if (ring.fence, ring.accuracy) != (rings[0].fence, rings[0].accuracy):
            raise JobTrouble(f"'{rings[0].name}' and '{ring.name}' differ in fence type or accuracy class",
                             remedy="give them the same first, and change single lines afterwards")
        if ring.stretches:
            raise JobTrouble(f"ground classes were typed along '{ring.name}', and its chainages will be others",
                             remedy="mark that ground as an area first")
        if ring.name in spoken_of:
            raise JobTrouble(f"an option or a stage speaks of '{ring.name}'", remedy="take it out of there first")
    return rings


def _with_openings(lines: Sequence[FenceLine], rings: Sequence[FenceLine]) -> list[FenceLine]:
    found = list(lines)
    for ring in rings:
        for gate in ring.gates:
            k = _nearest(found, (gate.x, gate.y))
            found[k] = replace(found[k], gates=(*found[k].gates, gate))
        for crossing in ring.crossings:
            k = _nearest(found, (crossing.x, crossing.y))
            found[k] = replace(found[k], crossings=(*found[k].crossings, crossing))
    return found


def _nearest(lines: Sequence[FenceLine], point: tuple[Metre, Metre]) -> int:
    return int(np.argmin([nearest_on(line.xy, point)[1] for line in lines]))


def _levels(line: FenceLine, rings: Sequence[FenceLine], job: Job) -> RecordedLevels | None:
    """The levels recorded along the outline that a line is a part of; None where none were, or for another course."""
    course = shapely.LineString(line.xy)
    for ring in rings:
        known = job.levels.get(ring.name)
        outline = shapely.LineString(ring.xy[:, :2])
        if known is None or not np.array_equal(known.xy, ring.xy) or outline.distance(shapely.Point(
                course.interpolate(0.5, normalized=True))) > _ON_IT_M:
            continue
        spots = shapely.line_interpolate_point(outline, known.at_m)
        on = shapely.distance(course, spots) <= _ON_IT_M
        at = np.union1d(np.round(shapely.line_locate_point(course, spots[on]), 6), chainages(line.xy))
        at[-1] = chainages(line.xy)[-1]
        there = shapely.line_locate_point(outline, shapely.line_interpolate_point(course, at))
        near = np.abs(known.at_m[None, :] - there[:, None]).argmin(axis=1)
        return replace(known, xy=frozen(line.xy), at_m=frozen(at), source=frozen(known.source[near]),
                       level_m=frozen(np.interp(there, known.at_m, known.level_m)),
                       sd_m=frozen(np.interp(there, known.at_m, known.sd_m)))
    return None
