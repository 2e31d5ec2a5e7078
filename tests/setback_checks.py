"""What every set-back line must hold, measured by the GEOS library and by a buffer edge simplified on its own."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from planner.alignment.setback_line import SetbackLine

MILLIMETRE = 0.001


def assert_in_band(line: SetbackLine, feature: Any, *, near_m: float, give_m: float) -> None:
    """No point nearer than the set-back or farther than set-back and give, to a millimetre; and no crossing itself."""
    fence = shapely.LineString(line.xy)
    places = shapely.points(shapely.get_coordinates(shapely.segmentize(fence, 0.25)))
    assert shapely.distance(fence, feature) >= near_m - MILLIMETRE
    assert shapely.distance(feature, places).max() <= near_m + give_m + MILLIMETRE
    assert fence.is_simple
    assert line.figures.cost <= (line.follow.cost if line.follow else np.inf) + 1e-6


def simplified_edge_costs(feature: Any, *, near_m: float, give_m: float, corner: float, metre: float) -> list[float]:
    """Costs of closed lines round a feature: buffers, simplified as far as they keep in the band. Own turn counting."""
    costs = []
    for share in (0.1, 0.25, 0.5, 0.75):
        for part in (1.0, 0.6, 0.3):
            edge = shapely.buffer(feature, near_m + share * give_m, quad_segs=32).exterior
            xy = np.array(shapely.simplify(edge, part * share * give_m).coords)
            places = shapely.points(shapely.get_coordinates(shapely.segmentize(shapely.LineString(xy), 0.5)))
            away = shapely.distance(feature, places)
            if away.min() < near_m or away.max() > near_m + give_m:
                continue
            way = np.unwrap(np.arctan2(*np.diff(xy, axis=0).T[::-1]))
            turn = np.degrees(np.abs(np.diff(way)))
            costs.append(corner * (1 + (turn > 20).sum()) + 0.35 * corner * ((turn > 1) & (turn <= 20)).sum()
                         + metre * float(np.hypot(*np.diff(xy, axis=0).T).sum()))
    return costs
