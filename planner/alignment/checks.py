"""What about a line, or the lines of a job together, is worth a look before a post goes in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from shapely.ops import substring

from planner.alignment.corners import (
    FAR_FROM_LINE_M,
    SAME_PLACE_M,
    Corner,
    Measured,
    corners,
    misplaced_openings,
    openings,
)
from planner.alignment.junctions import Junction, SharedStretch, find_junctions, shared_stretches
from planner.alignment.line import FenceLine
from planner.findings import Finding, Place
from planner.geometry.arrays import Floats
from planner.settings import Settings
from planner.sources import COMMON_PRACTICE
from planner.units import Metre
from planner.wording import few_of

RULES = {
    "line-01": "a line has no kinks left by tracing",
    "line-02": "corners stand apart",
    "line-03": "a line does not cross or touch itself",
    "line-04": "a gate or crossing stands on its line",
    "line-05": "a gate or crossing lies between the ends of its line",
    "line-06": "gates and crossings do not overlap",
    "line-07": "a gate or crossing lies on a straight",
    "line-08": "no corner is a pocket that stock jam in",
    "line-09": "bends that add up to a corner stand apart",
    "line-10": "lines meet at ends and corners",
    "line-11": "no stretch is drawn twice",
    "line-12": "a line that should meet another reaches it",
    "line-13": "a gate or crossing has a width",
}
KINK_DEG = 3.0
_KINK_SLACK_DEG = 1e-6
KINK_LEG_M = 30.0
ACUTE_DEG = 60.0
NEAR_BENDS_M = 5.0
SHORT_OF_M = 5.0
RUNS_AT_SHARE = 0.25
"""A line that comes nearer to another by less than this share of its way runs beside it, not at it (15 deg)."""
_NO_TURN_DEG = 1e-3
_TOLD_EACH = 6
"""As many pairs of lines that run along each other are told of one by one, more of them together."""
_COINCIDES_M = 0.001
_NAMED = 6


def check_line(line: FenceLine, ground: Measured, settings: Settings) -> list[Finding]:
    """What is worth a look along one line.

    Args:
        line: Fence line.
        ground: The same line in ground plan distance.
        settings: ``corner_deg`` and ``deviation_deg``.

    Returns:
        Findings, by rule. Kinks, corners in one place, pockets and self-crossings are counted in one finding each.

    Source:
        Common practice, no source: kinks below 3 deg on legs shorter than 30 m, pockets below 60 deg.
    """
    bends = corners(line, ground, settings)
    return [
        *_kinks(line, bends), *_together(line, bends), *_crosses_itself(line, ground), *_openings(line, ground),
        *_bent_openings(line, ground, bends), *_pockets(line, bends), *_split_corners(line, bends, settings)]


def check_network(lines: Sequence[FenceLine], *, within_m: Metre = SAME_PLACE_M,
                  junctions: Mapping[str, tuple[Junction, ...]] | None = None) -> list[Finding]:
    """What is worth a look where the lines of a job meet.

    Args:
        lines: Fence lines in one working grid, names unique.
        within_m: Lines nearer than this touch. [m]
        junctions: Where they meet, found in the same order and reach; None to find them here.

    Source:
        Common practice, no source.
    """
    met = find_junctions(lines, within_m=within_m) if junctions is None else junctions
    return [*_crossings(met), *_drawn_twice(lines, within_m), *_short_of(lines, within_m)]


def _at(line: FenceLine, bend: Corner) -> Place:
    return Place(line.name, chainage_m=bend.chainage_m, x=bend.x, y=bend.y)


def _kinks(line: FenceLine, bends: Sequence[Corner]) -> Iterator[Finding]:
    """Small turns on short legs that do not go on the same way, as those of a curve do."""
    turn = np.array([b.turn_deg for b in bends])
    turn[np.abs(turn) < _NO_TURN_DEG] = 0.0
    leg = np.diff([b.chainage_m for b in bends])
    inner, before, after = turn[1:-1], turn[1:-1] * turn[:-2], turn[1:-1] * turn[2:]
    curve = (before >= 0) & (after >= 0) & (before + after > 0)
    small = (inner != 0) & (np.abs(inner) < KINK_DEG - _KINK_SLACK_DEG) & (np.maximum(leg[:-1], leg[1:]) < KINK_LEG_M)
    found = np.flatnonzero(small & ~curve) + 1
    if len(found):
        first = bends[int(found[0])]
        yield Finding(
            "line-01", "note", f"{len(found)} {'turn' if len(found) == 1 else 'turns'} below {KINK_DEG:g} deg on "
            f"legs shorter than {KINK_LEG_M:g} m, the first at {first.chainage_m:.1f} m: kinks from tracing cost posts "
            "and look ragged.",
            "Straighten the line there, unless the fence must follow it.", _at(line, first), COMMON_PRACTICE)


def _together(line: FenceLine, bends: Sequence[Corner]) -> Iterator[Finding]:
    close = [a for a, b in pairwise(bends) if b.chainage_m - a.chainage_m <= SAME_PLACE_M]
    if close:
        yield Finding(
            "line-02", "note", f"{len(close)} {'corner stands' if len(close) == 1 else 'corners stand'} within "
            f"{SAME_PLACE_M:g} m of the next, the first at {close[0].chainage_m:.1f} m; each such group is "
            "planned as one corner.",
            "Draw one corner there.", _at(line, close[0]), COMMON_PRACTICE)


def _crosses_itself(line: FenceLine, ground: Measured) -> Iterator[Finding]:
    shape = shapely.LineString(line.xy[:, :2])
    if shape.is_simple:
        return
    spots = _self_contacts(line.xy, closed=line.closed)
    if len(spots):
        x, y = spots[0].tolist()
        yield Finding(
            "line-03", "error", f"The line crosses or touches itself in {len(spots)} "
            f"{'place' if len(spots) == 1 else 'places'}, the first at {x:.1f}, {y:.1f}: no strainer stands there.",
            "Draw it as two lines that meet there, or move a corner.", Place(line.name, x=x, y=y), COMMON_PRACTICE)


def _self_contacts(xy: Floats, *, closed: bool) -> Floats:
    """Where legs of a line that do not follow each other meet. Shape (k, 2), in order of the first leg."""
    legs = shapely.linestrings(np.stack((xy[:-1, :2], xy[1:, :2]), axis=1))
    one, other = shapely.STRtree(legs).query(legs, predicate="intersects")
    apart = other - one > 1
    if closed:
        apart &= other - one < len(legs) - 1
    following = other - one == 1
    meets = shapely.intersection(legs[one[following]], legs[other[following]])
    folded = one[following][shapely.get_type_id(meets) != 0]
    pairs = np.concatenate((np.column_stack((one[apart], other[apart])), np.column_stack((folded, folded + 1))))
    pairs = pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))]
    spots = shapely.intersection(legs[pairs[:, 0]], legs[pairs[:, 1]])
    return np.array([shapely.get_coordinates(spot)[0] for spot in spots]).reshape(-1, 2)


def _openings(line: FenceLine, ground: Measured) -> Iterator[Finding]:
    for wrong in misplaced_openings(line, ground):
        what = f"The {wrong.kind} '{wrong.name}'"
        place = Place(line.name, chainage_m=wrong.chainage_m)
        if wrong.trouble == "far from the line":
            yield Finding("line-04", "error", f"{what} stands {wrong.amount_m:.1f} m off the line, over the"
                          f" {FAR_FROM_LINE_M:g} m that can be a slip of the hand; it is left out.",
                          "Move it onto its line, or give it to another line.", place, COMMON_PRACTICE)
        elif wrong.trouble == "too narrow":
            yield Finding("line-13", "error", f"{what} is {wrong.amount_m:g} m wide; it is left out.",
                          "Give the width between its posts.", place, COMMON_PRACTICE)
        elif wrong.trouble == "overlap":
            yield Finding("line-06", "error", f"{what} overlaps '{wrong.other}' by {wrong.amount_m:.1f} m; it is left"
                          " out.", "Move it along the line, or make one of the two narrower.", place, COMMON_PRACTICE)
        elif wrong.trouble == "beyond the end":
            yield Finding("line-05", "error", f"{what} lies beyond the line's end; it is left out.",
                          "Move it back along the line.", place, COMMON_PRACTICE)
        else:
            yield Finding("line-05", "warning", f"{what} hangs {wrong.amount_m:.1f} m over the line's end; it is cut"
                          " there.", "Move it back along the line, or, on a closed line, start the line elsewhere.",
                          place, COMMON_PRACTICE)


def _bent_openings(line: FenceLine, ground: Measured, bends: Sequence[Corner]) -> Iterator[Finding]:
    turning = [b for b in bends if b.role in ("corner", "deviation")]
    for opening in openings(line, ground):
        inside = [b for b in turning
                  if opening.from_m + SAME_PLACE_M < b.chainage_m < opening.to_m - SAME_PLACE_M]
        if inside:
            worst = max(inside, key=lambda b: abs(b.carried_deg))
            yield Finding(
                "line-07", "warning", f"The line turns by {abs(worst.carried_deg):.1f} deg inside the {opening.kind}"
                f" '{opening.name}'.", f"Move the {opening.kind}, or the corner, so that it lies on a straight.",
                _at(line, worst), COMMON_PRACTICE)


def _pockets(line: FenceLine, bends: Sequence[Corner]) -> Iterator[Finding]:
    sharp = [bend for bend in bends[:-1]
             if bend.role == "corner" and 180.0 - abs(bend.carried_deg) < ACUTE_DEG]
    if sharp:
        places = [f"{bend.chainage_m:.1f} m" for bend in sharp]
        listed = few_of(places, most=_NAMED)
        least = min(180.0 - abs(bend.carried_deg) for bend in sharp)
        if len(sharp) == 1:
            what = f"The corner at {listed} leaves {least:.0f} deg, less than {ACUTE_DEG:g}: on its inner side"
        else:
            what = (f"{len(sharp)} corners leave less than {ACUTE_DEG:g} deg, the sharpest {least:.0f}, at {listed}: "
                    "on their inner sides")
        yield Finding(
            "line-08", "note", f"{what} stock jam and horses are cornered.",
            f"Cut {'the corner' if len(sharp) == 1 else 'each'} off with a short side, or move a line.",
            _at(line, sharp[0]), COMMON_PRACTICE)


def _split_corners(line: FenceLine, bends: Sequence[Corner], settings: Settings) -> Iterator[Finding]:
    turning = [b for b in bends[1:-1] if b.role != "straight"]
    for one, other in pairwise(turning):
        total = abs(one.carried_deg + other.carried_deg)
        near = other.chainage_m - one.chainage_m <= NEAR_BENDS_M
        if near and one.role == other.role == "deviation" and total > settings.corner_deg:
            yield Finding(
                "line-09", "warning", f"Two bends {other.chainage_m - one.chainage_m:.1f} m apart at"
                f" {one.chainage_m:.1f} m turn the fence by {total:.1f} deg together, more than the"
                f" {settings.corner_deg:g} deg at which a strain ends; no strainer is planned there.",
                "Make them one corner, or spread the turn over more panels.", _at(line, one), COMMON_PRACTICE)


def _crossings(met: Mapping[str, tuple[Junction, ...]]) -> Iterator[Finding]:
    for name, junctions in met.items():
        for junction in junctions:
            if junction.crosses and not junction.counted_with:
                others = " and ".join(f"'{other}'" for other in junction.others)
                yield Finding(
                    "line-10", "note", f"The line meets {others} where none of them ends; a strainer that takes"
                    f" {junction.directions + 2} pulls is planned there.",
                    "Check that a fence really crosses there, and whether a gate is wanted.",
                    Place(name, x=junction.x, y=junction.y), COMMON_PRACTICE)


def _drawn_twice(lines: Sequence[FenceLine], within_m: Metre) -> Iterator[Finding]:
    """Stretches that two lines share, told once for each pair of lines; of many pairs all together."""
    by_name = {line.name: line.xy[:, :2] for line in lines}
    shared: dict[frozenset[str], list[SharedStretch]] = {}
    for stretch in shared_stretches(lines, within_m=within_m):
        shared.setdefault(frozenset((stretch.line, stretch.other)), []).append(stretch)
    pairs = [(each[0], sum(s.length_m for s in each), each) for each in shared.values()]
    wide = [_apart(by_name[first.line], by_name[first.other], within_m) for first, _, _ in pairs]
    if len(pairs) > _TOLD_EACH:
        most = sorted(pairs, key=lambda pair: -pair[1])
        named = ", ".join(f"'{first.line}' along '{first.other}' for {total:.1f} m" for first, total, _ in most[:3])
        yield _twice(f"{len(pairs)} pairs of lines run along each other, {sum(total for _, total, _ in pairs):.0f} m in"
                     f" all, {named} and {len(pairs) - 3} more: these fences would be counted twice.", max(wide),
                     Place(x=most[0][0].x, y=most[0][0].y))
        return
    for (first, total, each), gap in zip(pairs, wide, strict=True):
        places = "" if len(each) == 1 else (
            f" in {len(each)} places, the longest {max(s.length_m for s in each):.1f} m")
        yield _twice(f"The line runs along '{first.other}' for {total:.1f} m{places}: this fence would be counted"
                     " twice.", gap, Place(first.line, x=first.x, y=first.y))


def _twice(message: str, wide: Metre, place: Place) -> Finding:
    closed = f" and gaps up to {wide:.1f} m closed (--share-edges --close-gaps {wide:.1f})" if wide else ""
    return Finding("line-11", "error", message, "Draw the shared stretch in one of the two lines only; outlines of"
                   f" neighbouring paddocks become single lines where edges are shared{closed}.", place,
                   COMMON_PRACTICE)


def _apart(one: Floats, other: Floats, within_m: Metre) -> Metre:
    """The gap that has to be closed for two lines to become one: the next tenth of a metre; 0 where they coincide."""
    off = np.concatenate([shapely.distance(shapely.points(corners), shapely.LineString(line))
                          for corners, line in ((one, other), (other, one))])
    widest = float(off[off <= within_m].max(initial=0.0))
    return 0.0 if widest < _COINCIDES_M else (np.floor(widest * 10.0 + 1e-6) + 1.0) / 10.0


def _before_ends(lines: Sequence[FenceLine], ends: Any) -> Any:
    """The place on each open line that lies 5 m before each of its ends, or at its other end. Array of points."""
    open_lines = np.repeat(np.array([shapely.LineString(line.xy[:, :2]) for line in lines if not line.closed]), 2)
    length = shapely.length(open_lines)
    at = np.where(np.arange(len(ends)) % 2 == 0, SHORT_OF_M, length - SHORT_OF_M)
    return shapely.line_interpolate_point(open_lines, np.clip(at, 0.0, length))


def _short_of(lines: Sequence[FenceLine], within_m: Metre) -> Iterator[Finding]:
    """Ends that stop a few metres from another line."""
    if len(lines) < 2:
        return
    owners = np.array([k for k, line in enumerate(lines) if not line.closed for _ in (0, 1)], dtype=np.int64)
    ends = np.array([line.xy[k, :2] for line in lines if not line.closed for k in (0, -1)]).reshape(-1, 2)
    shapes = np.array([shapely.LineString(line.xy[:, :2]) for line in lines])
    points = shapely.points(ends)
    which, near = shapely.STRtree(shapes).query(points, predicate="dwithin", distance=SHORT_OF_M)
    foreign = owners[which] != near
    which, near = which[foreign], near[foreign]
    gap = shapely.distance(points[which], shapes[near])
    touching = set(which[gap <= within_m].tolist())
    away = shapely.distance(_before_ends(lines, points)[which], shapes[near]) - gap
    runs_at = away > RUNS_AT_SHARE * SHORT_OF_M
    which, near, gap = which[runs_at], near[runs_at], gap[runs_at]
    by_end = np.lexsort((gap, which))
    short, first = np.unique(which[by_end], return_index=True)
    for k, nearest in zip(short.tolist(), by_end[first].tolist(), strict=True):
        if k in touching:
            continue
        x, y = ends[k].tolist()
        own, other = lines[int(owners[k])], lines[int(near[nearest])]
        if _runs_past(own, at_start=k % 2 == 0, other=shapes[near[nearest]]):
            said = (f"The line ends {gap[nearest]:.1f} m past '{other.name}': a stub is built, with an end of its own.",
                    "Bring the end back onto the other line.")
        else:
            said = (f"The line stops {gap[nearest]:.1f} m short of '{other.name}': stock walk through, or two ends are"
                    " built where one strainer would do.",
                    "Bring the end onto the other line, or leave a gap on purpose.")
        yield Finding("line-12", "warning", *said, Place(own.name, x=x, y=y), COMMON_PRACTICE)


def _runs_past(line: FenceLine, *, at_start: bool, other: Any) -> bool:
    """Whether a line crosses another within the last few metres before an end."""
    shape = shapely.LineString(line.xy[:, :2])
    last = (0.0, SHORT_OF_M) if at_start else (shape.length - SHORT_OF_M, shape.length)
    return bool(shapely.intersects(substring(shape, max(last[0], 0.0), last[1]), other))
