"""Changing coordinates: which operation is taken, how good it is, and when it is refused.

Source:
    IOGP EPSG data set, as shipped with PROJ: operations, their areas of use and accuracies. Between older
    Australian datums and GDA2020 the set holds no direct operation outside the Australian Capital Territory; the way
    leads over GDA94 (ICSM GDA2020 Technical Manual). Checked in tests/validation/test_datum_operations.py.
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Any

import numpy as np
from pyproj import Transformer
from pyproj.aoi import AreaOfInterest
from pyproj.transformer import TransformerGroup

from planner.errors import GridTrouble
from planner.geometry.arrays import Floats, SameByValue, frozen
from planner.survey.coordinate_systems import CoordinateSystem, grid_name, is_same, is_west_south, lonlat_datum, system
from planner.units import Metre

WORTH_SAYING_M = 1.0
"""Accuracy of a datum operation above which the figure is said."""

_STEPS_OVER = {("AGD66", "GDA2020"): "EPSG:4283", ("GDA2020", "AGD66"): "EPSG:4283",
               ("AGD84", "GDA2020"): "EPSG:4283", ("GDA2020", "AGD84"): "EPSG:4283"}
_WORLD = (-180.0, -90.0, 180.0, 90.0)
_NO_CHANGE = "no change of datum"
_DISTORTION = ("GDA94 to GDA2020 is the conformal seven-parameter shift; positions tied to old, distorted GDA94 marks "
               "want the conformal and distortion grid instead, which is not here.")


@dataclass(frozen=True, eq=False)
class Brought(SameByValue):
    """Positions brought from one coordinate system into another.

    Attributes:
        xy: East (or longitude) and north (or latitude) in the target. [m] or [deg] Shape (n, 2).
        operation: Name of the datum operation, as the EPSG data set calls it.
        accuracy_m: Stated accuracy of the operation; None when it is not known. [m]
        notes: What a person should know of it, one sentence each.
    """

    xy: Floats
    operation: str
    accuracy_m: Metre | None
    notes: tuple[str, ...]


@dataclass(frozen=True)
class _Route:
    legs: tuple[Any, ...]
    operation: str
    accuracy_m: Metre | None
    notes: tuple[str, ...]


def bring(xy: Floats, *, source: str, target: str, allow_ballpark: bool = False) -> Brought:
    """Positions brought into another coordinate system, east before north, by a datum operation that is named.

    South African Lo positions are read as they are written, westing then southing, and come out east and north.

    Args:
        xy: East or longitude, then north or latitude. [m] or [deg] Shape (n, 2).
        source: Code or WKT of the system they are in.
        target: Code or WKT of the system they are wanted in.
        allow_ballpark: Takes an operation of unknown accuracy, which may be 200 m wrong, where there is no other.

    Raises:
        GridTrouble: A system is unknown; no operation of known accuracy leads over; or some position has no place in
            the target.
    """
    brought = carry(xy, source=source, target=target, allow_ballpark=allow_ballpark)
    lost = int((~np.isfinite(brought.xy).all(axis=1)).sum())
    if lost:
        raise GridTrouble(f"{lost} of {len(xy)} positions have no place in {grid_name(target)}",
                          remedy=f"check that they are really in {grid_name(source)}")
    return brought


def carry(xy: Floats, *, source: str, target: str, allow_ballpark: bool = False) -> Brought:
    """As ``bring``, but a position without a place in the target comes out not finite instead of stopping all.

    Args:
        xy: East or longitude, then north or latitude. [m] or [deg] Shape (n, 2).
        source: Code or WKT of the system they are in.
        target: Code or WKT of the system they are wanted in.
        allow_ballpark: Takes an operation of unknown accuracy where there is no other.

    Raises:
        GridTrouble: A system is unknown, or no operation of known accuracy leads over.
    """
    start, end = system(source), system(target)
    if is_west_south(end):
        raise GridTrouble(f"{grid_name(target)} counts west and south",
                          remedy="choose a grid that counts east and north")
    if is_same(start, end):
        return Brought(frozen(np.array(xy[:, :2], dtype=float)), _NO_CHANGE, 0.0, ())
    route = _route(source, target, _around(xy, source), allow_ballpark)
    x, y = np.array(xy[:, 0], dtype=float), np.array(xy[:, 1], dtype=float)
    for leg in route.legs:
        x, y = leg.transform(x, y)
    return Brought(frozen(np.column_stack((x, y))), route.operation, route.accuracy_m, route.notes)


def to_lonlat(xy: Floats, crs: str) -> Floats:
    """Longitude and latitude in the grid's own datum. [deg] Shape (n, 2). A position without a place gives infinity.

    Args:
        xy: East and north. [m] Shape (n, 2).
        crs: Code or WKT of the grid.

    Raises:
        GridTrouble: The grid is unknown.
    """
    x, y = _own_lonlat(crs).transform(np.array(xy[:, 0], dtype=float), np.array(xy[:, 1], dtype=float))
    return np.column_stack((x, y))


def from_lonlat(lonlat: Floats, crs: str) -> Floats:
    """East and north of longitude and latitude that stand in the grid's own datum. [m] Shape (n, 2).

    Args:
        lonlat: Longitude, latitude. [deg] Shape (n, 2).
        crs: Code or WKT of the grid.

    Raises:
        GridTrouble: The grid is unknown.
    """
    x, y = _own_lonlat(crs).transform(
        np.array(lonlat[:, 0], dtype=float), np.array(lonlat[:, 1], dtype=float), direction="INVERSE")
    return np.column_stack((x, y))


def around(lonlat: Floats) -> tuple[float, float, float, float] | None:
    """West, south, east, north of positions, on the shorter way round; west is above east across 180. [deg]

    Args:
        lonlat: Longitude, latitude. [deg] Shape (n, 2); positions that are not finite are left out.

    Returns:
        None when no position is left.
    """
    finite = lonlat[np.isfinite(lonlat).all(axis=1)]
    if len(finite) == 0:
        return None
    middle = mean_longitude(finite[:, 0])
    off = np.remainder(finite[:, 0] - middle + 180.0, 360.0) - 180.0
    west, east = (float(np.remainder(middle + edge + 180.0, 360.0) - 180.0) for edge in (off.min(), off.max()))
    return west, float(finite[:, 1].min()), east, float(finite[:, 1].max())


def mean_longitude(longitude: Floats) -> float:
    """Mean longitude on the circle, so that 179.9 and -179.9 meet at 180. [deg] From -180 to 180.

    Args:
        longitude: Longitudes, at least one. [deg] Shape (n,).
    """
    first = float(longitude[0])
    off = np.remainder(longitude - first + 180.0, 360.0) - 180.0
    return float(np.remainder(first + off.mean() + 180.0, 360.0) - 180.0)


@lru_cache(maxsize=64)
def _own_lonlat(crs: str) -> Any:
    plain = system(crs).plain
    geodetic = plain.geodetic_crs if len(plain.geodetic_crs.axis_info) == 2 else plain.geodetic_crs.to_2d()
    return Transformer.from_crs(plain, geodetic, always_xy=True)


def _around(xy: Floats, crs: str) -> tuple[float, float, float, float]:
    """Area of the positions, widened to tenths of a degree so that neighbouring sources share a route."""
    box = around(to_lonlat(xy, crs))
    if box is None or not (-90.0 <= box[1] <= box[3] <= 90.0):
        return _WORLD
    west, south, east, north = box
    if np.remainder(east - west, 360.0) > 350.0:
        return _WORLD
    return (float(np.floor(west * 10) / 10), max(float(np.floor(south * 10) / 10), -90.0),
            float(np.ceil(east * 10) / 10), min(float(np.ceil(north * 10) / 10), 90.0))


@lru_cache(maxsize=256)
def _route(source: str, target: str, area: tuple[float, float, float, float], allow_ballpark: bool) -> _Route:
    start, end = system(source), system(target)
    if not (start.datum and end.datum):
        return _route_without_datum(source, target, area, allow_ballpark)
    missing: list[str] = []
    for stops in _ways(source, target):
        legs = []
        for a, b in pairwise(stops):
            found, lacking = _operations(system(a), system(b), area, allow_ballpark=False)
            missing += lacking
            legs += found[:1]
        if len(legs) == len(stops) - 1:
            return _described(legs, missing, source, target)
    if not allow_ballpark:
        raise GridTrouble(
            f"no operation of known accuracy leads from {grid_name(source)} to {grid_name(target)}{_lacking(missing)}",
            remedy="save the file in the other datum with a program that has one, or set allow_ballpark to yes and "
                   "expect to be up to 200 m off")
    found, _ = _operations(start, end, area, allow_ballpark=True)
    if not found:
        raise GridTrouble(f"nothing leads from {grid_name(source)} to {grid_name(target)}",
                          remedy="save the file in the other coordinate system with the program that made it")
    return _described(found[:1], missing, source, target)


def _ways(source: str, target: str) -> list[tuple[str, ...]]:
    over = _STEPS_OVER.get((lonlat_datum(source), lonlat_datum(target)))
    return [(source, target)] + ([(source, over, target)] if over else [])


def _route_without_datum(
        source: str, target: str, area: tuple[float, float, float, float], allow_ballpark: bool) -> _Route:
    silent = grid_name(source if not system(source).datum else target)
    if not allow_ballpark:
        raise GridTrouble(f"{silent} does not say its datum, so it cannot be brought into another grid",
                          remedy="say the full coordinate system with --crs, such as EPSG:28355 for GDA94 or EPSG:7855 "
                                 "for GDA2020 in zone 55")
    found, _ = _operations(system(source), system(target), area, allow_ballpark=True)
    note = f"The datum of {silent} is not stated and was taken as the other one's; positions may be 2 m off, or 200 m."
    return _Route(tuple(found[:1]), "datum taken as the same", None, (note,))


def _operations(start: CoordinateSystem, end: CoordinateSystem, area: tuple[float, float, float, float], *,
                allow_ballpark: bool) -> tuple[list[Any], list[str]]:
    """Operations that can be used here, best first, and the grid files that a better one would need."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # says in print what unavailable_operations says as data
        group = TransformerGroup(start.crs, end.crs, always_xy=True, allow_ballpark=allow_ballpark,
                                 area_of_interest=AreaOfInterest(*area))
    found = sorted(group.transformers, key=lambda operation: not _holds(operation.area_of_use, area))
    best = found[0].accuracy if found and found[0].accuracy >= 0 else np.inf
    lacking = [grid.short_name for operation in group.unavailable_operations for grid in operation.grids
               if 0 <= operation.accuracy < best]
    return found, list(dict.fromkeys(lacking))


def _holds(use: Any, area: tuple[float, float, float, float]) -> bool:
    """True when an operation is meant for the whole area; the order among those that are, or are not, stays."""
    if use is None:
        return True
    west, south, east, north = area
    width = np.remainder(use.east - use.west, 360.0) or 360.0
    starts, ends = np.remainder(west - use.west, 360.0), np.remainder(east - use.west, 360.0)
    return bool(use.south <= south and north <= use.north and starts <= ends <= width)


def _described(legs: list[Any], missing: list[str], source: str, target: str) -> _Route:
    names = [step.name for leg in legs for step in (leg.operations or ())
             if step.type_name == "Transformation" and not step.name.startswith("Null geographic offset")]
    accuracies = [leg.accuracy for leg in legs]
    accuracy = float(sum(accuracies)) if min(accuracies) >= 0 else None
    operation = " + ".join(names) or _NO_CHANGE
    pair = f"{lonlat_datum(source)} to {lonlat_datum(target)}"
    notes = []
    if accuracy is None:
        notes.append(f"{pair} by '{operation}', whose accuracy is not known; it may be 200 m off.")
    elif accuracy > WORTH_SAYING_M:
        notes.append(f"{pair} by '{operation}', which is good to about {accuracy:.2g} m and no better.")
    if missing:
        files = " or ".join(dict.fromkeys(missing))
        notes.append(f"{pair} could be done more exactly with a grid file that is not here: {files}.")
    if "GDA94 to GDA2020 (1)" in operation:
        notes.append(_DISTORTION)
    return _Route(tuple(legs), operation, accuracy, tuple(notes))


def _lacking(missing: list[str]) -> str:
    return f" without the grid file {' or '.join(dict.fromkeys(missing))}" if missing else ""
