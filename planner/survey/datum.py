"""Datums and grids: the one door through which the other rooms ask where a position is.

``coordinate_systems`` knows what a system is called and whether it can be measured in, ``datum_shift`` changes
coordinates, ``grid_choice`` picks the working grid, ``scale`` tells grid from ground.
"""

from planner.survey.coordinate_systems import (
    DATUM_NOT_STATED,
    grid_before_reading,
    grid_name,
    lonlat_datum,
    to_code,
    usable_as_grid,
)
from planner.survey.datum_shift import Brought, bring, from_lonlat, to_lonlat
from planner.survey.grid_choice import GridChoice, suggest_grid
from planner.survey.scale import (
    combined_scale,
    ellipsoidal_area,
    geodesic,
    grid_bearing,
    grid_convergence,
    line_scale,
    point_scale,
)

__all__ = [
    "DATUM_NOT_STATED",
    "Brought",
    "GridChoice",
    "bring",
    "combined_scale",
    "ellipsoidal_area",
    "from_lonlat",
    "geodesic",
    "grid_bearing",
    "grid_before_reading",
    "grid_convergence",
    "grid_name",
    "line_scale",
    "lonlat_datum",
    "point_scale",
    "suggest_grid",
    "to_code",
    "to_lonlat",
    "usable_as_grid",
]
