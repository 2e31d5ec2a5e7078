"""Labels beside the things they name: moved apart so that none lies on another, and left out where there is no room."""

from __future__ import annotations

from collections.abc import Sequence

import shapely

from planner.jobpack.page.lettering import extent
from planner.jobpack.page.records import Spot, Text


def kept_apart(wanted: Sequence[float], *, least: float, low: float, high: float) -> list[float]:
    """Places as near as can be to those wanted, in the same order, none nearer to the next than a least distance.

    Args:
        wanted: Places wanted, rising.
        least: Least distance. More places than fit are spread evenly.
        low: Least place.
        high: Greatest place.

    Returns:
        One place for each wanted, in sum of squares nearest to them.

    Example:
        >>> kept_apart([1.0, 1.0, 9.0], least=2.0, low=0.0, high=10.0)
        [0.0, 2.0, 9.0]
    """
    if not wanted:
        return []
    if len(wanted) > 1 and least * (len(wanted) - 1) > high - low:
        least = (high - low) / (len(wanted) - 1)
    # Without the least distances the places must only rise: pool those that do not (isotonic regression).
    pools: list[tuple[float, int]] = []
    for k, place in enumerate(wanted):
        mean, count = place - k * least, 1
        while pools and pools[-1][0] > mean:
            before, many = pools.pop()
            mean, count = (before * many + mean * count) / (many + count), many + count
        pools.append((mean, count))
    top = high - least * (len(wanted) - 1)
    flat = [min(max(mean, low), top) for mean, count in pools for _ in range(count)]
    return [place + k * least for k, place in enumerate(flat)]


APART_MM = 0.45
"""Least distance of a label from what else stands there: it is drawn on paper of its own, which must cover nothing."""


class Room:
    """Which parts of a drawing are taken, so that labels find free ones."""

    def __init__(self) -> None:
        self._taken: list[shapely.Geometry] = []
        self._tree: shapely.STRtree | None = None
        self._in_tree = 0

    def take(self, shape: shapely.Geometry) -> None:
        """Marks a part as taken.

        Args:
            shape: The part. [mm]
        """
        self._taken.append(shape)

    def is_free(self, shape: shapely.Geometry) -> bool:
        """Whether nothing taken reaches into a part.

        Args:
            shape: The part. [mm]
        """
        if self._tree is None or len(self._taken) > 2 * self._in_tree + 32:
            self._tree = shapely.STRtree(self._taken)
            self._in_tree = len(self._taken)
        if len(self._tree.query(shape, predicate="intersects")):
            return False
        return not any(shape.intersects(other) for other in self._taken[self._in_tree:])

    def place(self, texts: Sequence[Text], within: shapely.Geometry) -> Text | None:
        """The first of some texts that lies free and inside a part, which is then taken; None when none does.

        Args:
            texts: The same label at several places, the best first.
            within: Part that it must lie in. [mm]
        """
        for text in texts:
            shape = text_shape(text)
            if within.covers(shape) and self.is_free(text_shape(text, rim=APART_MM)):
                self.take(shape)
                return text
        return None


def text_shape(text: Text, *, rim: float = 0.0) -> shapely.Polygon:
    """The part of the page that a text fills.

    Args:
        text: The text.
        rim: Room round it. [mm]
    """
    left, top, right, bottom = extent(text)
    shape = shapely.box(left - rim, top - rim, right + rim, bottom + rim)
    if text.angle_deg:
        from shapely import affinity

        turned: shapely.Polygon = affinity.rotate(shape, -text.angle_deg, origin=(text.x, text.y))
        return turned
    return shape


def around(x: float, y: float, text: str, *, away: float, size_pt: float, weight: str = "regular",
           colour: str = "#18211d", first: Spot = (1.0, 0.0)) -> list[Text]:
    """One label at eight places round a point, the one in a direction asked for first.

    Args:
        x: The point. [mm]
        y: The point. [mm]
        text: The label.
        away: Distance from the point. [mm]
        size_pt: Size of its letters. [pt]
        weight: Weight of its letters.
        colour: Colour of its letters.
        first: Direction liked best.
    """
    half = 0.26 * size_pt * 0.3528
    places: list[tuple[float, float, str]] = [
        (1, 0, "left"), (-1, 0, "right"), (0, -1, "middle"), (0, 1, "middle"), (.8, -.8, "left"), (.8, .8, "left"),
        (-.8, -.8, "right"), (-.8, .8, "right")]
    places.sort(key=lambda p: -(p[0] * first[0] + p[1] * first[1]))
    tall = 0.52 * size_pt * 0.3528
    return [Text(x + dx * away, y + dy * away + half + (tall / 2 if dy > 0 else -tall / 2 if dy < 0 else 0.0), text,
                 size_pt, weight, align, colour)  # type: ignore[arg-type]  # the words stand in the table above
            for dx, dy, align in places]
