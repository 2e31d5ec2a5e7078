"""Set-out points for other people's programs and receivers: CSV and GPX."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import gpxpy.gpx
import numpy as np

from planner.files.atomic_save import write_text
from planner.files.writers.tables import write_csv
from planner.files.writers.texts import xml_text
from planner.job.plan import JobPlan, LinePlan
from planner.survey.datum import bring, grid_name, lonlat_datum, to_lonlat

_WGS84 = "EPSG:4326"


def write_pegs_csv(target: Path, plan: JobPlan) -> None:
    """Set-out points as a table: grid and longitude/latitude, the datum named in every row.

    Args:
        target: Where it shall stand.
        plan: The plan.

    Raises:
        FileTrouble: It cannot be written there.
    """
    head = ("name", "kind", "line", "section", "chainage_m", "easting_m", "northing_m", "level_m", "longitude",
            "latitude", "grid", "lonlat_datum", "accuracy", "note")
    grid, datum = grid_name(plan.job.crs), lonlat_datum(plan.job.crs)
    rows: list[tuple[Any, ...]] = []
    for line in plan.lines:
        for peg, (lon, lat) in zip(line.pegs, _peg_lonlat(line, plan.job.crs), strict=True):
            rows.append((peg.name, peg.kind, peg.line, peg.section, f"{peg.chainage_m:.2f}", f"{peg.x:.3f}",
                         f"{peg.y:.3f}", f"{peg.level_m:.2f}", f"{lon:.8f}", f"{lat:.8f}", grid, datum,
                         line.line.accuracy, peg.note))
    write_csv(target, head, rows)


def write_pegs_gpx(target: Path, plan: JobPlan) -> None:
    """Set-out points as GPX 1.1 waypoints in WGS 84, and each fence line as a route along its corners, for a handheld.

    Args:
        target: Where it shall stand.
        plan: The plan.

    Raises:
        FileTrouble: It cannot be written there.
        GridTrouble: The working grid has no way to WGS 84 of known accuracy.
    """
    gpx = gpxpy.gpx.GPX()
    gpx.creator = "Strainwright"
    gpx.name = xml_text(plan.job.name)
    gpx.description = "Set-out points, and fence lines as routes. Finder accuracy, not a survey."
    for line in plan.lines:
        for peg, (lon, lat) in zip(line.pegs, _peg_lonlat(line, plan.job.crs, wgs84=True), strict=True):
            gpx.waypoints.append(gpxpy.gpx.GPXWaypoint(
                latitude=round(float(lat), 8), longitude=_below_180(float(lon)), elevation=round(peg.level_m, 2),
                name=peg.name, description=xml_text(f"{peg.kind}, {peg.line}, {peg.chainage_m:.1f} m"),
                type=peg.kind))
    gpx.routes += [_route(line, plan.job.crs) for line in plan.lines]
    write_text(target, gpx.to_xml("1.1") + "\n")


def _route(line: LinePlan, crs: str) -> gpxpy.gpx.GPXRoute:
    """A line as a route: its corners in order, which end where they began where it is closed."""
    route = gpxpy.gpx.GPXRoute(name=xml_text(line.line.name), description=xml_text(line.fence.name))
    for number, (lon, lat) in enumerate(bring(line.line.xy, source=crs, target=_WGS84).xy, 1):
        route.points.append(gpxpy.gpx.GPXRoutePoint(
            latitude=round(float(lat), 8), longitude=_below_180(float(lon)), name=f"{line.code}-C{number}"))
    return route


def _below_180(longitude: float) -> float:
    """GPX 1.1 has no longitude of 180 degrees: that meridian is -180."""
    rounded = round(longitude, 8)
    return -180.0 if rounded >= 180.0 else rounded


def _peg_lonlat(line: LinePlan, crs: str, *, wgs84: bool = False) -> Any:
    xy = np.array([(peg.x, peg.y) for peg in line.pegs]).reshape(-1, 2)
    return bring(xy, source=crs, target=_WGS84).xy if wgs84 else to_lonlat(xy, crs)
