"""Shared boundaries: the outlines of several paddocks as one network of fence lines, each shared edge one line.

Source:
    Outlines are noded and merged between the places where three or more lines meet; gaps and overlaps are closed by
    the coverage cleaning of GEOS 3.14 through shapely. Checked in tests/validation/test_open_paddocks.py on open
    paddocks of New Zealand and Austria.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
import shapely

from planner.alignment.line import FenceLine
from planner.errors import OutOfRange
from planner.geometry.arrays import Floats, SameByValue, frozen
from planner.survey.fixes import Accuracy
from planner.units import Metre, SquareMetre

_GRID_M = 1e-6
_BESIDE_M = 1e-4
_CRUMB_M2, _CRUMB_M = 1e-4, 1e-4


@dataclass(frozen=True, eq=False)
class BoundaryLine(SameByValue):
    """A fence line between the places where three or more meet.

    Attributes:
        xy: Corners. [m] Shape (n, 2); a closed line repeats its first corner at the end.
        left: Names of the paddocks on its left; none where there is open land.
        right: Names of the paddocks on its right.
    """

    xy: Floats
    left: tuple[str, ...]
    right: tuple[str, ...]

    @property
    def closed(self) -> bool:
        """Whether it returns to its start."""
        return bool((self.xy[0] == self.xy[-1]).all())

    @property
    def length_m(self) -> Metre:
        """Its length. [m]"""
        return float(np.hypot(*np.diff(self.xy, axis=0).T).sum())

    @property
    def is_shared(self) -> bool:
        """Whether there are paddocks on both sides."""
        return bool(self.left and self.right)


@dataclass(frozen=True, slots=True)
class Misfit:
    """A gap or an overlap between paddocks that should share an edge.

    Attributes:
        kind: What it is.
        paddocks: Names of the paddocks about it.
        x: East of a place in it. [m]
        y: North of it. [m]
        area_m2: Its area. [m2]
        width_m: Its mean width: area over half the perimeter. [m]
        length_m: Half its perimeter, about its length. [m]
    """

    kind: Literal["gap", "overlap"]
    paddocks: tuple[str, ...]
    x: Metre
    y: Metre
    area_m2: SquareMetre
    width_m: Metre
    length_m: Metre


@dataclass(frozen=True, eq=False)
class BoundaryNetwork(SameByValue):
    """The outlines of several paddocks as fence lines.

    Attributes:
        lines: Every line once, however many paddocks it bounds.
        misfits: Gaps and overlaps as they were found, largest first.
        closed: True when they were closed.
        area_changes: Name and gain in area of each paddock that closing changed by more than 0.01 m2. [m2]
    """

    lines: tuple[BoundaryLine, ...]
    misfits: tuple[Misfit, ...] = ()
    closed: bool = False
    area_changes: tuple[tuple[str, SquareMetre], ...] = ()

    @property
    def shared_pairs(self) -> frozenset[tuple[str, str]]:
        """Pairs of paddocks with a line between them, each pair in alphabetical order."""
        return frozenset((min(a, b), max(a, b)) for line in self.lines for a in line.left for b in line.right if a != b)


def shared_boundaries(rings: Sequence[tuple[str, shapely.Polygon]], *, within_m: Metre = 0.0,
                      close: bool = False) -> BoundaryNetwork:
    """The fence lines that the outlines of some paddocks come to.

    Overlaps are always told; gaps are told where paddocks come within ``within_m`` of each other without touching.

    Args:
        rings: Name and outline of each paddock in one grid, names unique; holes are bounded by lines as well. [m]
        within_m: Edges nearer than this belong together. [m]
        close: True to close gaps narrower than that and to share out overlaps, to the longer common edge; corners move
            by about as much.

    Raises:
        OutOfRange: A name is given twice, an outline crosses itself, or gaps are to be closed within no distance.

    Example:
        >>> network = shared_boundaries([("A", shapely.box(0, 0, 1, 1)), ("B", shapely.box(1, 0, 2, 1))])
        >>> sorted((line.left, line.right, line.length_m) for line in network.lines if line.is_shared)
        [(('A',), ('B',), 1.0)]
    """
    names = [name for name, _ in rings]
    _know(rings, within_m, close)
    lands = np.array([shapely.force_2d(land) for _, land in rings], dtype=object)
    misfits = _misfits(names, lands, within_m)
    changes: list[tuple[str, SquareMetre]] = []
    if close:
        cleaned = shapely.coverage_clean(lands, snapping_distance=within_m, gap_width=within_m)
        gains = shapely.area(cleaned) - shapely.area(lands)
        changes = [(name, float(gain)) for name, gain in zip(names, gains, strict=True) if abs(gain) > 0.01]
        lands = cleaned
    lines = tuple(_sided(names, lands, _merged(lands)))
    return BoundaryNetwork(lines, tuple(sorted(misfits, key=lambda m: -m.area_m2)), close, tuple(changes))


def network_lines(network: BoundaryNetwork, *, fence: str, accuracy: Accuracy = "unknown",
                  origin: str = "") -> list[FenceLine]:
    """Fence lines of a network, named after the paddocks on their two sides.

    Args:
        network: The network.
        fence: Fence type key.
        accuracy: Accuracy class of the corners.
        origin: File they were read from, for the sheets.

    Example:
        >>> network = shared_boundaries([("A", shapely.box(0, 0, 1, 1)), ("B", shapely.box(1, 0, 2, 1))])
        >>> sorted(line.name for line in network_lines(network, fence="general-mesh"))
        ['A', 'A | B', 'B']
    """
    wanted = [" | ".join(sorted({*line.left, *line.right})) or "boundary" for line in network.lines]
    times, seen = Counter(wanted), Counter[str]()
    taken = {name for name, count in times.items() if count == 1}
    lines = []
    for line, name in zip(network.lines, wanted, strict=True):
        unique = name
        while times[name] > 1 and (unique == name or unique in taken):
            seen[name] += 1
            unique = f"{name} ({seen[name]})"
        taken.add(unique)
        lines.append(FenceLine(unique, fence, line.xy, line.closed, accuracy, origin=origin))
    return lines


def _know(rings: Sequence[tuple[str, shapely.Polygon]], within_m: Metre, close: bool) -> None:
    twice = next((name for name, count in Counter(name for name, _ in rings).items() if count > 1), None)
    if twice is not None:
        raise OutOfRange("two paddocks have the same name", where=f"'{twice}'", remedy="rename one of them")
    if not within_m >= 0.0 or (close and not within_m):
        raise OutOfRange("gaps are closed within a distance above zero", where=f"{within_m:g} m", remedy="give one")
    for name, land in rings:
        if land.is_empty or land.geom_type not in ("Polygon", "MultiPolygon") or not land.is_valid:
            why = shapely.is_valid_reason(land).split("[")[0].lower()
            raise OutOfRange(f"the outline cannot be used ({why})", where=f"paddock '{name}'", remedy="mend it")


def _merged(lands: Any) -> list[Any]:
    """All outlines noded, each stretch once, merged up to where three or more meet."""
    noded = shapely.unary_union(shapely.boundary(lands), grid_size=_GRID_M)
    return [part for part in shapely.get_parts(shapely.line_merge(noded)) if part.length > _BESIDE_M]


def _sided(names: Sequence[str], lands: Any, lines: Sequence[Any]) -> Iterable[BoundaryLine]:
    """Each line with the paddocks left and right of the middle of its longest leg."""
    tree = shapely.STRtree(lands)
    for line in lines:
        xy = shapely.get_coordinates(line)
        legs = np.diff(xy, axis=0)
        longest = int(np.argmax(np.hypot(*legs.T)))
        length = float(np.hypot(*legs[longest]))
        off = np.array([-legs[longest, 1], legs[longest, 0]]) / length * min(_BESIDE_M, length / 10)
        middle = (xy[longest] + xy[longest + 1]) / 2
        left, right = ({int(i) for i in tree.query(shapely.Point(middle + side * off), predicate="within")}
                       for side in (1.0, -1.0))
        yield BoundaryLine(frozen(xy), *(tuple(names[i] for i in sorted(side)) for side in (left, right)))


def _misfits(names: Sequence[str], lands: Any, within_m: Metre) -> list[Misfit]:
    tree = shapely.STRtree(lands)
    pairs = tree.query(lands, predicate="intersects")
    pairs = pairs[:, pairs[0] < pairs[1]]
    both = shapely.intersection(lands[pairs[0]], lands[pairs[1]])
    found = [Misfit("overlap", (names[i], names[j]), *facts)
             for i, j, common in zip(*pairs.tolist(), both, strict=True) for facts in _pieces(common)]
    if within_m > 0.0:
        whole = shapely.union_all(lands)
        reach = within_m / 2
        filled = shapely.buffer(shapely.buffer(whole, reach, join_style="mitre"), -reach, join_style="mitre")
        for piece in shapely.get_parts(shapely.difference(filled, whole)):
            about = np.sort(tree.query(piece, predicate="dwithin", distance=1e-3))
            if len(about) > 1:  # else it is a notch in one paddock
                found += [Misfit("gap", tuple(names[i] for i in about), *facts) for facts in _pieces(piece)]
    return found


def _pieces(shape: Any) -> Iterable[tuple[Metre, Metre, SquareMetre, Metre, Metre]]:
    """Place, area, mean width and length of each polygon in a shape, crumbs and rims of rounding left out."""
    opened = shapely.buffer(shapely.buffer(shape, -_CRUMB_M / 2, join_style="mitre"), _CRUMB_M / 2, join_style="mitre")
    for piece in shapely.get_parts(opened):
        half = float(piece.length) / 2
        if piece.geom_type == "Polygon" and piece.area > _CRUMB_M2 and piece.area / half > _CRUMB_M:
            spot = shapely.point_on_surface(piece)
            yield float(spot.x), float(spot.y), float(piece.area), float(piece.area) / half, half
