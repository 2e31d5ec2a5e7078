"""The land inside a closed line of a job: what other closed lines leave of it, and how much it is on the ground."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from planner.alignment.line import FenceLine
from planner.job.job import Job
from planner.survey.datum import combined_scale
from planner.units import HECTARE_M2
from planner.wording import listed

_TOLD_SHARE = 0.5e-4


@dataclass(frozen=True)
class LandInside:
    """Land inside a closed line.

    Attributes:
        shape: Its outline in the working grid, what lies in closed lines wholly inside it left out. [m]
        left_out: Names of those lines.
        kept: Names of closed lines inside it that touch its edge or each other, or cross themselves: their land is not
            left out.
    """

    shape: shapely.Polygon
    left_out: tuple[str, ...]
    kept: tuple[str, ...]

    @property
    def words(self) -> tuple[str, ...]:
        """What is said of the lines inside it."""
        said = []
        if self.left_out:
            said.append(f"The land inside {_names(self.left_out)} is left out.")
        if self.kept:
            said.append(f"The land inside {_names(self.kept)} is counted with it: left out are only sound outlines "
                        "that stand clear of its edge and of each other.")
        return tuple(said)


def land_inside(line: FenceLine, lines: Sequence[FenceLine]) -> LandInside:
    """The land inside a closed line, without what other closed lines fence off inside it.

    Args:
        line: A closed line.
        lines: All lines of its job.
    """
    whole = shapely.Polygon(line.xy[:, :2])
    if not whole.is_valid:
        return LandInside(whole, (), ())
    rings = {other.name: shapely.Polygon(other.xy[:, :2]) for other in lines
             if other.closed and other.name != line.name and len(other.xy) > 3}
    inner = {name: ring for name, ring in rings.items() if ring.is_valid and shapely.contains_properly(whole, ring)}
    rest = whole
    if inner:
        cut = shapely.difference(whole, shapely.union_all(list(inner.values())))
        if cut.geom_type != "Polygon" or cut.is_empty:  # rings that touch each other shut a piece off
            inner = {}
        else:
            rest = cut
    kept = tuple(name for name, ring in rings.items() if name not in inner and ring.area < whole.area
                 and shapely.covers(whole, shapely.make_valid(ring)))
    return LandInside(rest, tuple(inner), kept)


def grid_words(shape: shapely.Polygon, line: str, job: Job) -> str:
    """How areas on the grid differ from those on the ground; empty where nobody would see it.

    Args:
        shape: The land in the working grid. [m]
        line: Name of the line round it, whose recorded levels say how high it lies.
        job: The job.
    """
    known = job.levels.get(line)
    levels = known.level_m[np.isfinite(known.level_m)] if known is not None else np.array([])
    level = float(levels.mean()) if len(levels) else np.nan
    middle = shapely.get_coordinates(shapely.point_on_surface(shape))
    share = float(combined_scale(middle, np.array([level]), job.crs)[0]) ** -2.0 - 1.0
    if not abs(share) >= _TOLD_SHARE:
        return ""
    return (f"Areas are those of the grid; on the ground they are {100.0 * abs(share):.2f} % "
            f"{'more' if share > 0 else 'less'}, "
            f"{shape.area * (1.0 + share) / HECTARE_M2:.2f} ha in all.")


def _names(names: Sequence[str]) -> str:
    return listed([f"'{name}'" for name in names])
