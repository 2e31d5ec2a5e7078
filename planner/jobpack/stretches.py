"""Stretches of the job's fences beside what is marked on the ground, for the sheets that speak of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from planner.alignment.beside import Beside, beside
from planner.geometry.lines import chainages
from planner.geometry.sound_shapes import sound_shape
from planner.job.plan import JobPlan, LinePlan
from planner.survey.features import Feature
from planner.units import Metre, SquareMetre


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of a fence line beside a feature, in ground measures.

    Attributes:
        feature: The feature.
        line: Plan of the fence line.
        found: What was found, in grid measures.
        from_m: Chainage at which it starts. [m]
        to_m: Chainage at which it ends. [m]
        least_at_m: Chainage at which it is nearest. [m]
        slope_m: Length along the ground. [m]
        scale: Grid distance of the stretch divided by its ground distance.
    """

    feature: Feature
    line: LinePlan
    found: Beside
    from_m: Metre
    to_m: Metre
    least_at_m: Metre
    slope_m: Metre
    scale: float

    def ground(self, grid_m: Metre) -> Metre:
        """A grid distance as ground distance. [m]

        Args:
            grid_m: Grid distance. [m]
        """
        return grid_m / self.scale

    def ground_area(self, grid_m2: SquareMetre) -> SquareMetre:
        """A grid area as ground area. [m2]

        Args:
            grid_m2: Grid area. [m2]
        """
        return grid_m2 / self.scale**2


def stretches_beside(plan: JobPlan, meanings: Sequence[str], *, within_m: Metre,
                     parts_by_side: bool = False) -> tuple[Stretch, ...]:
    """Every stretch of a fence line that runs beside a feature of some meanings, by feature, then by line.

    Args:
        plan: The plan.
        meanings: Meanings of the features.
        within_m: Greatest distance that counts as beside. [m]
        parts_by_side: True to end a stretch where the fence changes over to the other side.
    """
    found = []
    for feature in plan.job.features:
        if feature.meaning not in meanings:
            continue
        shape = sound_shape(feature.wkt)
        for line in plan.lines:
            found += [_stretch(feature, line, part) for part in beside(
                line.line.xy, shape, within_m=within_m, parts_by_side=parts_by_side, closed=line.line.closed)]
    return tuple(found)


def _stretch(feature: Feature, line: LinePlan, part: Beside) -> Stretch:
    ground = line.ground
    places = np.interp([part.from_m, part.to_m, part.least_at_m], chainages(line.line.xy),
                       ground.chainage_m[ground.vertices])
    first, last, nearest = (float(place) for place in places)
    slope = ground.slope_at(places[:2])
    scale = part.length_m / (last - first) if last > first else 1.0
    return Stretch(feature, line, part, first, last, nearest, float(slope[1] - slope[0]), scale)
