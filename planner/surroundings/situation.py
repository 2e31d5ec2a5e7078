"""The situation that checks look at: planned lines, and what is on the ground around them, ready to be asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any, Protocol

import numpy as np
import shapely

from planner.alignment.junctions import Junction
from planner.alignment.line import FenceLine
from planner.loads.turns_and_uplift import PostLoad
from planner.profile.ground_line import GroundLine
from planner.sections.posts import Post
from planner.sections.strains import Section
from planner.settings import Settings
from planner.spec.catalogue import Catalogue
from planner.spec.fence_type import FenceType
from planner.surroundings.clearances import Clearance
from planner.survey.features import Feature
from planner.units import Metre


class Planned(Protocol):
    """What checks read of a planned line; the plan of a line has more."""

    @property
    def line(self) -> FenceLine:
        """The line."""

    @property
    def code(self) -> str:
        """Its letters."""

    @property
    def fence(self) -> FenceType:
        """Its fence type."""

    @property
    def corner_sd_m(self) -> Metre:
        """Standard deviation of its corners. [m]"""

    @property
    def ground(self) -> GroundLine:
        """The ground under it."""

    @property
    def sections(self) -> tuple[Section, ...]:
        """Strainer to strainer."""

    @property
    def posts(self) -> tuple[Post, ...]:
        """Posts in order of chainage."""

    @property
    def loads(self) -> tuple[PostLoad, ...]:
        """Loads of each post."""


@dataclass(frozen=True)
class Around:
    """Features of a job with their shapes, to be asked for by meaning and by nearness.

    Attributes:
        features: The features, in the job's order; those whose shape is empty or cannot be read are not among them.
    """

    features: tuple[Feature, ...]

    @cached_property
    def shapes(self) -> Any:
        """Shape of each feature in the working grid, invalid areas mended. [m] Array of geometries, shape (n,)."""
        made = shapely.from_wkt(np.array([f.wkt for f in self.features], dtype=object)) if self.features else np.array(
            [], dtype=object)
        made = shapely.force_2d(made)
        wrong = ~shapely.is_valid(made)
        if wrong.any():
            made = made.copy()
            made[wrong] = shapely.make_valid(made[wrong])
        return made

    @cached_property
    def _by_meaning(self) -> dict[str, tuple[int, ...]]:
        found: dict[str, list[int]] = {}
        for index, feature in enumerate(self.features):
            found.setdefault(feature.meaning, []).append(index)
        return {meaning: tuple(indices) for meaning, indices in found.items()}

    @cached_property
    def _trees(self) -> dict[str, shapely.STRtree]:
        return {}

    def of(self, *meanings: str) -> tuple[tuple[Feature, Any], ...]:
        """Features of some meanings with their shapes, in the job's order.

        Args:
            meanings: Their meanings.
        """
        indices = sorted(i for meaning in meanings for i in self._by_meaning.get(meaning, ()))
        return tuple((self.features[i], self.shapes[i]) for i in indices)

    def near(self, shapes: Any, meaning: str, *, within_m: Metre) -> tuple[tuple[int, Feature, Any], ...]:
        """Which features of a meaning come near which of some shapes.

        Args:
            shapes: Shapes asked about, as fence lines. Array of geometries, shape (m,).
            meaning: Meaning of the features.
            within_m: Greatest distance that counts as near; 0 asks for touching. [m]

        Returns:
            Number of the shape, feature and its shape, in the order of shapes, then of features.
        """
        indices = self._by_meaning.get(meaning, ())
        if not indices or not len(shapes):
            return ()
        if meaning not in self._trees:
            self._trees[meaning] = shapely.STRtree(self.shapes[list(indices)])
        asked, found = (self._trees[meaning].query(shapes, predicate="dwithin", distance=within_m) if within_m > 0
                        else self._trees[meaning].query(shapes, predicate="intersects"))
        order = np.lexsort((found, asked))
        return tuple((int(a), self.features[indices[f]], self.shapes[indices[f]])
                     for a, f in zip(asked[order], found[order], strict=True))


def around(features: Sequence[Feature]) -> Around:
    """What is around the fences of a job.

    Args:
        features: Its features. One whose shape cannot be read or is empty is left out; it has no place to be checked.
    """
    texts = np.array([f.wkt for f in features], dtype=object)
    shapes = shapely.from_wkt(texts, on_invalid="ignore") if features else []
    return Around(tuple(f for f, shape in zip(features, shapes, strict=True)
                        if shape is not None and not shape.is_empty))


def areas_under(lines: Sequence[FenceLine], nearby: Around) -> dict[str, tuple[Feature, ...]]:
    """The areas of ground that each line runs through, by its name; lines that run through none are left out.

    Args:
        lines: Fence lines.
        nearby: What is around them.
    """
    shapes = np.empty(len(lines), dtype=object)
    for number, line in enumerate(lines):
        shapes[number] = shapely.LineString(line.xy[:, :2])
    found: dict[str, tuple[Feature, ...]] = {}
    for number, feature, shape in nearby.near(shapes, "ground", within_m=0.0):
        if shapely.get_dimensions(shape) == 2:
            name = lines[number].name
            found[name] = (*found.get(name, ()), feature)
    return found


@dataclass(frozen=True)
class Situation:
    """What the checks of the surroundings look at.

    Attributes:
        lines: Planned lines.
        around: What is on the ground.
        junctions: Line name to where other lines meet it.
        settings: Settings.
        catalogue: Items, end assemblies and ground classes.
        clearances: What people have settled.
        today: Day on which dates are judged.
    """

    lines: Sequence[Planned]
    around: Around
    junctions: dict[str, tuple[Junction, ...]]
    settings: Settings
    catalogue: Catalogue
    clearances: tuple[Clearance, ...]
    today: date

    @cached_property
    def shapes(self) -> Any:
        """Course of each line in the working grid. [m] Array of line strings, shape (n,)."""
        made = np.empty(len(self.lines), dtype=object)
        for index, planned in enumerate(self.lines):
            made[index] = shapely.LineString(planned.line.xy[:, :2])
        return made

    @cached_property
    def worked_out(self) -> dict[str, Any]:
        """What was worked out of this situation by one check and is handed on to others, by name."""
        return {}


def chainage_at(planned: Planned, grid_m: Metre) -> Metre:
    """Ground plan distance of a place along a line. [m]

    Args:
        planned: The line.
        grid_m: Distance along its course in the grid, as shapely's ``line_locate_point`` gives it. [m]
    """
    from planner.geometry.lines import chainages

    ground = planned.ground
    return float(np.interp(grid_m, chainages(planned.line.xy), ground.chainage_m[ground.vertices]))


def section_at(planned: Planned, chainage_m: Metre) -> str:
    """Id of the section that a place on a line lies in; empty beyond its ends.

    Args:
        planned: The line.
        chainage_m: Ground plan distance from its start. [m]
    """
    return next((s.id for s in planned.sections if s.from_m <= chainage_m <= s.to_m), "")
