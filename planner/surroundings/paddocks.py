"""Paddocks: the land that the fences of a job enclose, with its name, use, size, gates, water and way to the yards."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal, cast

import numpy as np
import shapely

from planner.geometry.arrays import Floats, Integers
from planner.setout.numbering import line_code
from planner.surroundings.faces import OUTSIDE, Faces, faces_of
from planner.surroundings.gateways import Gateway, gateways_of
from planner.surroundings.reach import ways_to
from planner.surroundings.situation import Situation
from planner.survey.feature_meanings import choice_of
from planner.survey.features import Feature
from planner.units import Metre, SquareMetre

Use = Literal["stock", "lane", "shut off"]
EDGE_M: Metre = 1.0
"""A trough or yard as near to the edge of a paddock as this serves it. [m] Common practice, no source."""
REACHES_M = 1.0
"""Water that lies in a paddock for less than this, in metres or square metres, only touches it."""
STRIP_M: Metre = 30.0
"""Land of which nobody says what it is for, narrower than this in the mean and long for it, is a strip or a lane and
not a paddock for stock. [m] Common practice, no source."""
LONG_FOR_IT = 4.0
FENCED_OFF = {"water": 0.25, "trees": 0.5, "vegetation": 0.5, "protected": 0.5}
"""Share of such areas above which land of which nobody says what it is for was fenced to keep stock out. Common
practice, no source."""


@dataclass(frozen=True, slots=True)
class Paddock:
    """A piece of land that fences enclose, at least one of them a line of the job.

    Attributes:
        name: Its name: that of the paddock marked in it, else letters, the largest first.
        use: What it is for: as marked, else as its shape and what lies in it tell.
        use_said: Whether that was marked.
        stock: What it is for: as marked.
        area_m2: Area on the ground. [m2]
        perimeter_m: Length of its outer edge and of the edges of what is cut out of it, on the ground. [m]
        long_over_wide: Long side over short side of the smallest rectangle around it.
        x: East of a place in it. [m]
        y: North of it. [m]
        lines: Lines of the job along its edge, in the job's order.
        edge_known: False where part of its edge is a fence that stands, whose gates may not be marked.
        gates: Names of the gates that lead into it.
        water: Names of troughs and waters in it or on its edge.
        water_through: Gates through which lanes lead it to water, when it has none itself; nearest first.
        way: Gates of its way to the yards, or out where no yards are marked, in order; None where there is none.
        shape: Its outline in the working grid. Polygon.
        face: Number of its face.
    """

    name: str
    use: Use
    use_said: bool
    stock: str
    area_m2: SquareMetre
    perimeter_m: Metre
    long_over_wide: float
    x: Metre
    y: Metre
    lines: tuple[str, ...]
    edge_known: bool
    gates: tuple[str, ...]
    water: tuple[str, ...]
    water_through: tuple[str, ...]
    way: tuple[str, ...] | None
    shape: Any
    face: int


@dataclass(frozen=True, eq=False)
class Land:
    """The land of a job as its fences divide it.

    Attributes:
        paddocks: Paddocks, largest first.
        gates: Gates, with the land on their sides; land that no line of the job bounds counts as outside.
        waters: Face to the shapes of the water that stock in it reach.
        any_water: Whether water is marked at all.
        any_yards: Whether yards are marked at all.
        yards_at: Faces with yards.
        faces: The faces of all fences.
    """

    paddocks: tuple[Paddock, ...]
    gates: tuple[Gateway, ...]
    waters: Mapping[int, tuple[Any, ...]]
    any_water: bool
    any_yards: bool
    yards_at: frozenset[int]
    faces: Faces


def land_of(situation: Situation) -> Land:
    """The land of a job, worked out once for a situation.

    Only fences divide land: lines of the job, and fences that stand and stay. A face is a paddock when a line of the
    job is on its edge; all other land, enclosed or not, is taken as one with the outside, where the owner gets about
    today. Areas are grid areas over the square of the mean scale of the lines around them.

    Args:
        situation: The situation.

    Source:
        Areas are checked against the ellipsoid in tests/validation/test_network_of_paddocks.py.
    """
    if "land" not in situation.worked_out:
        situation.worked_out["land"] = _land(situation)
    return cast("Land", situation.worked_out["land"])


def _land(situation: Situation) -> Land:
    faces = faces_of(situation)
    built = faces.edge_fence[faces.edge_fence < faces.planned], faces.edge_face[faces.edge_fence < faces.planned]
    mine = np.unique(built[1][built[0] >= 0])
    outside = np.ones(len(faces.shapes) + 1, dtype=bool)
    outside[mine] = False
    gates = tuple(_as_outside(gate, outside) for gate in gateways_of(situation, faces))
    order = mine[np.argsort(-shapely.area(faces.shapes[mine]), kind="stable")] if len(mine) else mine
    yards = frozenset(OUTSIDE if outside[face] else face for face in _yards(situation, faces))
    if not len(order):
        return Land((), gates, {}, _any_water(situation), bool(situation.around.of("yard")), yards, faces)
    uses = _uses(situation, faces, order)
    waters = _waters(situation, faces, order)
    return Land(_paddocks(situation, faces, order, gates, uses, waters, yards or frozenset({OUTSIDE})), gates,
                {face: tuple(shape for _, shape in found) for face, found in waters.items()}, _any_water(situation),
                bool(situation.around.of("yard")), yards, faces)


def _as_outside(gate: Gateway, outside: Any) -> Gateway:
    one, other = (OUTSIDE if outside[side] else side for side in gate.sides)
    return replace(gate, sides=(one, other))


def _any_water(situation: Situation) -> bool:
    return bool(situation.around.of("trough", "water"))


@dataclass(frozen=True, slots=True)
class _Use:
    name: str
    use: Use
    said: bool
    stock: str


def _paddocks(situation: Situation, faces: Faces, order: Integers, gates: tuple[Gateway, ...], uses: Mapping[int, _Use],
              waters: Mapping[int, list[tuple[str, Any]]], goals: frozenset[int]) -> tuple[Paddock, ...]:
    scale, length, lines, known = _edges(situation, faces)
    ways = ways_to(goals, gates)
    lanes = {face for face, use in uses.items() if use.use == "lane"}
    to_water = ways_to([face for face in waters if face in lanes], gates, may_pass=lambda face: face in lanes)
    into: defaultdict[int, list[str]] = defaultdict(list)
    for gate in gates:
        for side in dict.fromkeys(gate.sides):
            if side != OUTSIDE and gate.sides[0] != gate.sides[1]:
                into[side].append(gate.name)
    spots = shapely.get_coordinates(shapely.point_on_surface(faces.shapes[order]))
    longer = long_over_wide(faces.shapes[order])
    area = shapely.area(faces.shapes[order])
    made = []
    for k, face in enumerate(order.tolist()):
        use, through = uses[face], () if face in waters else to_water.get(face, ())
        made.append(Paddock(
            use.name, use.use, use.said, use.stock, float(area[k] / scale[face] ** 2),
            float(length[face] / scale[face]), float(longer[k]), float(spots[k, 0]), float(spots[k, 1]),
            lines[face], bool(known[face]), tuple(into[face]),
            tuple(name for name, _ in waters.get(face, ())), tuple(gate.name for gate in through),
            tuple(gate.name for gate in ways[face]) if face in ways else None, faces.shapes[face], face))
    return tuple(made)


def _edges(situation: Situation, faces: Faces) -> tuple[Floats, Floats, dict[int, tuple[str, ...]], Any]:
    """Of every face: grid over ground length, grid length of its edge, its lines, whether every fence is of the job."""
    count = len(faces.shapes)
    scales = np.array([p.ground.chainage_m[-1] for p in situation.lines])
    scales = shapely.length(situation.shapes) / np.where(scales > 0.0, scales, 1.0)
    fence, face, metres = faces.edge_fence, faces.edge_face, faces.edge_m
    ours = (fence >= 0) & (fence < faces.planned)
    mine = np.bincount(face[ours], metres[ours], count)
    scale = np.bincount(face[ours], metres[ours] * scales[fence[ours]], count) / np.where(mine > 0.0, mine, 1.0)
    whole = np.bincount(face, metres, count).astype(np.float64)
    pairs = np.unique(np.column_stack((face[ours], fence[ours])), axis=0)
    lines: defaultdict[int, list[str]] = defaultdict(list)
    for one, number in pairs.tolist():
        lines[one].append(situation.lines[number].line.name)
    known = np.bincount(face[~ours], minlength=count) == 0
    return scale, whole, {one: tuple(names) for one, names in lines.items()}, known


def long_over_wide(shapes: Any) -> Floats:
    """Long side over short side of the smallest rectangle around each shape. Shape (n,).

    Args:
        shapes: Polygons. Array of geometries, shape (n,).
    """
    xy = shapely.get_coordinates(shapely.oriented_envelope(shapes)).reshape(len(shapes), 5, 2)
    sides = np.hypot(*np.moveaxis(np.diff(xy[:, :3], axis=1), 2, 0))
    return np.asarray(sides.max(axis=1) / np.maximum(sides.min(axis=1), 1e-9))


def _uses(situation: Situation, faces: Faces, order: Integers) -> dict[int, _Use]:
    """Name, use and stock of each paddock, in the order given."""
    marked = _marked(situation, faces, set(order.tolist()))
    unsaid = np.array([face for face in order.tolist() if face not in marked], dtype=np.int64)
    shut = _shut_off(situation, faces, unsaid) if len(unsaid) else set()
    times = Counter(marked[face].name for face in order.tolist() if face in marked)
    seen: Counter[str] = Counter()
    uses: dict[int, _Use] = {}
    letters = 0
    for face in order.tolist():
        feature = marked.get(face)
        name = feature.name if feature is not None else ""
        if name and times[name] > 1:
            seen[name] += 1
            name = f"{name} {seen[name]}"
        while not name or (feature is None and name in times):
            name, letters = f"Paddock {line_code(letters)}", letters + 1
        use = choice_of(feature, "use") if feature is not None else "shut off" if face in shut else "stock"
        uses[face] = _Use(name, cast("Use", use), feature is not None,
                          choice_of(feature, "stock") if feature is not None else "not said")
    return uses


def _marked(situation: Situation, faces: Faces, mine: set[int]) -> dict[int, Feature]:
    """Face to the paddock that is marked in it: a place in it, else the area that covers most of it, at least half."""
    known = situation.around.of("paddock")
    if not known or not len(faces.shapes):
        return {}
    shapes = np.array([shape for _, shape in known], dtype=object)
    found: dict[int, tuple[float, Feature]] = {}
    inside = faces.at(shapely.point_on_surface(shapes))
    which, face = faces.tree.query(shapes, predicate="intersects")
    share = shapely.area(shapely.intersection(shapes[which], faces.shapes[face])) / shapely.area(faces.shapes[face])
    is_point = shapely.get_dimensions(shapes)[which] == 0
    weight = np.where(inside[which] == face, np.where(is_point, 2.0, np.maximum(share, 0.5)), share)
    for feature, one, value in zip(which.tolist(), face.tolist(), weight.tolist(), strict=True):
        if one in mine and value >= 0.5 and (one not in found or value > found[one][0]):
            found[one] = (value, known[feature][0])
    return {one: feature for one, (_, feature) in found.items()}


def _shut_off(situation: Situation, faces: Faces, unsaid: Integers) -> set[int]:
    """Land that is a strip, or mostly what stock are kept from."""
    land = faces.shapes[unsaid]
    narrow = (2.0 * shapely.area(land) / shapely.length(land) < STRIP_M) & (long_over_wide(land) > LONG_FOR_IT)
    shut = set(unsaid[narrow].tolist())
    area = shapely.area(land)
    for meaning, share in FENCED_OFF.items():
        near = situation.around.near(land, meaning, within_m=0.0)
        if near:
            which = np.array([number for number, _, _ in near])
            parts = shapely.intersection(land[which], np.array([shape for *_, shape in near], dtype=object))
            covered = np.bincount(which, shapely.area(parts), len(land)) > share * area
            shut |= set(unsaid[covered].tolist())
    return shut


def _waters(situation: Situation, faces: Faces, order: Integers) -> dict[int, list[tuple[str, Any]]]:
    """Face to the names and shapes of the water in it or on its edge."""
    found: defaultdict[int, list[tuple[str, Any]]] = defaultdict(list)
    land = faces.shapes[order]
    for number, feature, shape in situation.around.near(land, "trough", within_m=EDGE_M):
        found[int(order[number])].append((feature.name or "trough", shape))
    near = situation.around.near(land, "water", within_m=0.0)
    if near:
        which = np.array([number for number, _, _ in near])
        parts = shapely.intersection(land[which], np.array([shape for *_, shape in near], dtype=object))
        along = shapely.length(shapely.intersection(parts, shapely.boundary(land[which])))
        reach = np.where(shapely.get_dimensions(parts) == 2, shapely.area(parts), shapely.length(parts) - along)
        for k in np.flatnonzero(reach > REACHES_M).tolist():
            found[int(order[which[k]])].append((near[k][1].name or "water", parts[k]))
    return dict(found)


def _yards(situation: Situation, faces: Faces) -> set[int]:
    """Faces that yards stand in or touch from outside; ``OUTSIDE`` for yards in no face."""
    known = situation.around.of("yard")
    if not known:
        return set()
    shapes = np.array([shape for _, shape in known], dtype=object)
    inside = set(faces.at(shapely.point_on_surface(shapes)).tolist())
    if not len(faces.shapes):
        return {OUTSIDE}
    which, face = faces.tree.query(shapes, predicate="dwithin", distance=EDGE_M)
    is_point = shapely.get_dimensions(shapes[which]) == 0
    shared = shapely.area(shapely.intersection(shapes[which], faces.shapes[face])) > REACHES_M
    return inside | set(face[is_point | shared].tolist())
