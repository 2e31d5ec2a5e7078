"""What stands on the ground beside the fences, as exchange files hold it: by meaning, in points and lines."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import shapely

from planner.job.job import Job


@dataclass(frozen=True, slots=True)
class MarkedThing:
    """One feature of a job.

    Attributes:
        name: Its name.
        meaning: What it means for the job, as the job says it.
        facts: What else is known of it, meaning and origin among them.
        parts: Its points and lines in the working grid; an area is its rings.
    """

    name: str
    meaning: str
    facts: tuple[tuple[str, str], ...]
    parts: tuple[shapely.Geometry, ...]


def marked_things(job: Job) -> dict[str, list[MarkedThing]]:
    """Features of a job by meaning, in the order in which the job has them; one without any place is left out.

    Args:
        job: The job.
    """
    found: dict[str, list[MarkedThing]] = {}
    for feature in job.features:
        parts = tuple(_parts(shapely.from_wkt(feature.wkt)))
        if parts:
            origin = (("origin", feature.origin),) if feature.origin else ()
            found.setdefault(feature.meaning, []).append(MarkedThing(
                feature.name, feature.meaning, (("meaning", feature.meaning), *feature.attributes, *origin), parts))
    return found


def _parts(shape: shapely.Geometry) -> Iterator[shapely.Geometry]:
    for part in shapely.get_parts(shape):
        if shapely.is_empty(part):
            continue
        if isinstance(part, shapely.Polygon):
            yield from (shapely.LineString(ring.coords) for ring in (part.exterior, *part.interiors))
        elif isinstance(part, shapely.Point | shapely.LineString):
            yield part
        else:
            yield from _parts(part)
