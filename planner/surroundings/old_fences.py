"""Old fences along the lines to be built: whose posts stay in the new fence, and which have to be taken out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, cast

import numpy as np
import shapely
import shapely.ops

from planner.alignment.beside import beside
from planner.alignment.line import FenceLine
from planner.surroundings.situation import Around, Situation
from planner.survey.feature_meanings import choice_of, number_of
from planner.survey.features import Feature
from planner.units import Metre

ON_LINE_M: Metre = 2.0
"""A new line nearer than this to an old fence can stand on its posts. [m] Common practice, no source."""
IN_THE_WAY_M: Metre = 5.0
"""An old fence nearer than this to a new line is taken out with its building. [m] Common practice, no source."""
_LEAST_M: Metre = 4.0


@dataclass(frozen=True, slots=True)
class OldStretch:
    """Metres of a new line along an old fence.

    Attributes:
        fence: Name of the old fence.
        from_m: Grid distance along the line at which they begin. [m]
        to_m: Grid distance at which they end. [m]
        posts: Sound posts of the old fence that the new one can stand on.
        removed_m: Metres of the old fence that are taken out there. [m]
    """

    fence: str
    from_m: Metre
    to_m: Metre
    posts: int = 0
    removed_m: Metre = 0.0


def old_fences_along(lines: Sequence[FenceLine], nearby: Around) -> dict[str, tuple[OldStretch, ...]]:
    """The old fences that each new line runs along, by its name; lines that run along none are left out.

    No metre of an old fence, and so none of its posts, is given to two lines: the first in the job has it. One that
    stays as it is is not among them. Sound posts are the number of its posts times the share that is sound, by the
    length that is covered, rounded down.

    Args:
        lines: Fence lines to be built.
        nearby: What is around them.
    """
    shapes = np.empty(len(lines), dtype=object)
    for number, line in enumerate(lines):
        shapes[number] = shapely.LineString(line.xy[:, :2])
    found: dict[str, tuple[OldStretch, ...]] = {}
    left: dict[int, Any] = {}
    for number, feature, shape in nearby.near(shapes, "existing fence", within_m=IN_THE_WAY_M):
        fate = choice_of(feature, "fate")
        if fate == "stays" or shapely.get_dimensions(shape) != 1:
            continue
        within = ON_LINE_M if fate == "is reused" else IN_THE_WAY_M
        line = lines[number]
        for part in beside(line.xy, shape, within_m=within, least_length_m=_LEAST_M, closed=line.closed):
            mine = shapely.intersection(left.get(id(feature), shape), _reach(line, part.from_m, part.to_m, within))
            length = float(shapely.length(mine))
            if length < _LEAST_M:
                continue
            left[id(feature)] = shapely.difference(left.get(id(feature), shape), mine)
            stretch = OldStretch(feature.name, part.from_m, part.to_m,
                                 posts=_sound(feature, length / float(shapely.length(shape))) if fate == "is reused"
                                 else 0, removed_m=length if fate == "is pulled out" else 0.0)
            found[line.name] = (*found.get(line.name, ()), stretch)
    return found


def old_fences_of(situation: Situation) -> Mapping[str, tuple[OldStretch, ...]]:
    """The old fences along the lines of a situation, worked out once for it.

    Args:
        situation: The situation.
    """
    if "old fences" not in situation.worked_out:
        situation.worked_out["old fences"] = old_fences_along([p.line for p in situation.lines], situation.around)
    return cast("Mapping[str, tuple[OldStretch, ...]]", situation.worked_out["old fences"])


def sound_posts(feature: Feature) -> float:
    """Sound posts of an old fence, as far as somebody counted them; 0 where nobody did.

    Args:
        feature: The old fence.
    """
    posts, sound = number_of(feature, "posts"), number_of(feature, "posts sound")
    return posts * sound / 100.0 if posts is not None and sound is not None else 0.0


def _sound(feature: Feature, share: float) -> int:
    return int(sound_posts(feature) * min(share, 1.0) + 1e-9)


def _reach(line: FenceLine, start: Metre, end: Metre, within: Metre) -> Any:
    """What lies as near as that to a stretch of a line, not beyond its ends."""
    course = shapely.LineString(line.xy[:, :2])
    part = shapely.ops.substring(course, start, end)
    return part.buffer(within + 1e-6, cap_style="flat").union(part.buffer(1e-6))
