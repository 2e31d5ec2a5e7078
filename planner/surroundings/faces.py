"""The faces of the fence network: the pieces of land that fences cut the country into, whole and without gaps."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from planner.geometry.arrays import Floats, Integers
from planner.surroundings.situation import Situation
from planner.survey.feature_meanings import choice_of
from planner.units import Metre

SNAP_M: Metre = 0.5
"""The end of a fence as near to another fence as this meets it, as at junctions. [m]"""
_GRID_M = 1e-3
_BESIDE_M: Metre = 1.0
OUTSIDE = -1
"""Number of the land that no fence encloses."""


@dataclass(frozen=True, eq=False)
class Legs:
    """Straight pieces of fences.

    Attributes:
        shapes: Each as a line. Array of line strings, shape (m,).
        fence: Number of the fence it is of. Shape (m,).
        from_m: Distance along that fence at which it starts. [m] Shape (m,).
    """

    shapes: Any
    fence: Integers
    from_m: Floats


@dataclass(frozen=True, eq=False)
class Faces:
    """Land that fences enclose.

    Attributes:
        shapes: The faces; one within another is cut out of it. Array of polygons, shape (f,).
        tree: The same, to be asked.
        legs: Legs of every fence: the lines of the job first, then what stands and stays.
        planned: How many of the fences are lines of the job.
        edge_face: Face of each piece of an edge. Shape (e,).
        edge_fence: Fence that stands on it. Shape (e,).
        edge_m: Its grid length. [m] Shape (e,).
    """

    shapes: Any
    tree: shapely.STRtree
    legs: Legs
    planned: int
    edge_face: Integers
    edge_fence: Integers
    edge_m: Floats

    def at(self, points: Any) -> Integers:
        """Number of the face that each point lies in, ``OUTSIDE`` for none. Shape (n,).

        Args:
            points: Points. Array of geometries, shape (n,).
        """
        found = np.full(len(points), OUTSIDE, dtype=np.int64)
        if len(self.shapes) and len(points):
            which, face = self.tree.query(points, predicate="intersects")
            found[which] = face
        return found

    def on_sides(self, middles: Floats, along: Floats) -> tuple[Integers, Integers]:
        """Faces on both sides of places on fences. Two of shape (n,).

        Args:
            middles: The places. [m] Shape (n, 2).
            along: Direction of the fence at each, as unit vectors. Shape (n, 2).
        """
        off = np.column_stack((-along[:, 1], along[:, 0])) * _BESIDE_M
        return self.at(shapely.points(middles + off)), self.at(shapely.points(middles - off))


def faces_of(situation: Situation) -> Faces:
    """The faces of the network of a job: its lines, and the fences that stand and stay.

    A fence that stands counts unless it is pulled out; boundaries, water and all else carry no fence. Ends meet what
    they come within ``SNAP_M`` of. Slivers narrower than twice that, as between two drawings of one fence, are no land.

    Args:
        situation: The situation.

    Source:
        Noding and polygons: GEOS through shapely. Checked in tests/validation/test_network_of_paddocks.py.
    """
    stands = [shape for feature, shape in situation.around.of("existing fence")
              if choice_of(feature, "fate") != "is pulled out"]
    parts = [part for part in shapely.get_parts(np.array(stands, dtype=object)) if part.geom_type == "LineString"]
    return polygonized(np.concatenate((situation.shapes, np.array(parts, dtype=object))), planned=len(situation.lines))


def polygonized(fences: Any, *, planned: int) -> Faces:
    """The faces that some fences make.

    Args:
        fences: Fences in the working grid. [m] Array of line strings, shape (n,).
        planned: How many of them, the first, are lines of the job.
    """
    legs = _legs(fences)
    noded = shapely.union_all(np.concatenate((fences, _bridges(fences, legs))), grid_size=_GRID_M)
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(noded)))
    if len(faces):
        faces = faces[2.0 * shapely.area(faces) / shapely.length(faces) >= 2.0 * SNAP_M]
    return Faces(faces, shapely.STRtree(faces), legs, planned, *_edges(faces, legs))


def _legs(fences: Any) -> Legs:
    xy, which = shapely.get_coordinates(fences, return_index=True)
    step = np.hypot(*np.diff(xy, axis=0).T) if len(xy) > 1 else np.zeros(0)
    same = which[1:] == which[:-1]
    along = np.concatenate(([0.0], np.cumsum(np.where(same, step, 0.0))))
    first = np.searchsorted(which, np.arange(len(fences)))
    along = along - along[first][which] if len(xy) else along[:0]
    holds = same & (step > 0.0)
    shapes = shapely.linestrings(np.stack((xy[:-1][holds], xy[1:][holds]), axis=1)) if holds.any() else np.array(
        [], dtype=object)
    return Legs(shapes, which[:-1][holds].astype(np.int64), along[:-1][holds])


def _bridges(fences: Any, legs: Legs) -> Any:
    """Short links from ends that stop within reach of another fence, or of another part of their own."""
    if not len(fences) or not len(legs.shapes):
        return np.array([], dtype=object)
    open_ones = np.flatnonzero(~shapely.is_closed(fences))
    fence = np.repeat(open_ones, 2)
    ends = shapely.get_point(fences[fence], np.tile([0, -1], len(open_ones)))
    end_at = np.where(np.tile([True, False], len(open_ones)), 0.0, shapely.length(fences[fence]))
    p, leg = shapely.STRtree(legs.shapes).query(ends, predicate="dwithin", distance=SNAP_M)
    at = legs.from_m[leg] + shapely.line_locate_point(legs.shapes[leg], ends[p])
    other = (legs.fence[leg] != fence[p]) | (np.abs(at - end_at[p]) > 2.0 * SNAP_M)
    p, leg = p[other], leg[other]
    links = shapely.shortest_line(ends[p], legs.shapes[leg])
    gap = shapely.length(links)
    order = np.lexsort((gap, p))
    _, nearest = np.unique(p[order], return_index=True)
    chosen = order[nearest]
    return links[chosen[gap[chosen] > 0.0]]


def _edges(faces: Any, legs: Legs) -> tuple[Integers, Integers, Floats]:
    """Pieces of the edges of faces: face, fence that stands there, grid length."""
    if not len(faces):
        return np.zeros(0, np.int64), np.zeros(0, np.int64), np.zeros(0)
    rings, of_face = shapely.get_rings(faces, return_index=True)
    xy, ring = shapely.get_coordinates(rings, return_index=True)
    same = ring[1:] == ring[:-1]
    a, b = xy[:-1][same], xy[1:][same]
    middles = shapely.points((a + b) / 2.0)
    piece, leg = shapely.STRtree(legs.shapes).query_nearest(middles, all_matches=False)
    fence = np.full(len(middles), -1, dtype=np.int64)
    fence[piece] = legs.fence[leg]
    return of_face[ring[:-1][same]].astype(np.int64), fence, np.hypot(*(b - a).T)
