"""The follow-the-edge line: the edge of the set-back as most people would draw it, simplified within the band."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from planner.alignment.setback_band import Stretch
from planner.alignment.setback_costs import Costs, line_cost
from planner.alignment.setback_places import beside
from planner.geometry.arrays import Floats
from planner.geometry.lines import chainages, repeated
from planner.units import Metre

_SHARES = (0.02, 0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5, 0.6, 0.75, 0.9)
_TOLERANCES = (1.0, 0.85, 0.7, 0.55, 0.4, 0.3, 0.2, 0.1, 0.05)
_EVERY_M = 2.0


def follow_the_edge(stretch: Stretch, costs: Costs, *, give_m: Metre) -> Floats | None:
    """The cheapest line that keeps one distance from the edge of the set-back and is then simplified.

    The edge is drawn at a dozen distances within the give; each is simplified (Douglas and Peucker) as far as it
    stays in the band, and the cheapest of all is taken.

    Args:
        stretch: The stretch.
        costs: What a line costs.
        give_m: Width of the band. [m]

    Returns:
        Corners, shape (n, 2), from a start to an end of the stretch; None when none stays in the band.
    """
    best: tuple[float, Floats] | None = None
    shapely.prepare(stretch.region)
    for share in _SHARES if give_m > 0.1 else ():
        drawn = _at(stretch, share * give_m)
        if drawn is None:
            continue
        for tolerance in (*(part * share * give_m for part in _TOLERANCES), 0.0):
            line = shapely.simplify(drawn, tolerance, preserve_topology=False)
            if len(line.coords) < (4 if stretch.closed else 2) or not stretch.region.covers(line):
                continue
            xy = np.array(line.coords)
            cost = line_cost(stretch, costs, xy)
            if best is None or cost < best[0]:
                best = (cost, xy)
    return None if best is None else best[1]


def _at(stretch: Stretch, off: Metre) -> Any:
    length = float(chainages(stretch.arc)[-1])
    stations = np.linspace(0.0, length, max(int(length / min(_EVERY_M, max(off, 0.3))), 16), endpoint=False)
    xy, usable = beside(stretch, stations, off)
    xy = xy[usable]
    if len(xy) < 3:
        return None
    if stretch.closed:
        xy = np.concatenate((xy, xy[:1]))
    if stretch.start is not None and stretch.end is not None:
        ends = [end.xy[int(np.hypot(*(end.xy - tip).T).argmin())]
                for end, tip in ((stretch.start, xy[0]), (stretch.end, xy[-1]))]
        xy = np.concatenate((ends[:1], xy, ends[1:]))
    return shapely.LineString(xy[~repeated(xy, within=1e-6)])
