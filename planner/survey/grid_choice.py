"""The working grid: which one suits the ground that a job lies on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from planner.errors import GridTrouble
from planner.geometry.arrays import Floats
from planner.survey.coordinate_systems import grid_name, system, usable_as_grid
from planner.survey.datum_shift import mean_longitude

NORTH_LIMIT_DEG, SOUTH_LIMIT_DEG = 84.0, -80.0
"""Latitudes between which the zones of the Universal Transverse Mercator grid are defined."""


@dataclass(frozen=True, slots=True)
class GridChoice:
    """A working grid and why it.

    Attributes:
        crs: Authority code, or WKT when the source's own grid has none.
        name: Name with datum.
        reason: Why this one, one sentence.
    """

    crs: str
    name: str
    reason: str


def suggest_grid(lonlat: Floats, *, stated: str = "") -> GridChoice:
    """The projected grid to measure a job in.

    The source's own grid when a job can be measured in it; else the national grid whose area of use holds the middle
    of the positions; else the zone of the Universal Transverse Mercator grid on WGS 84.

    Args:
        lonlat: Longitude, latitude of all positions. [deg] Shape (n, 2); those that are not finite are left out.
        stated: The source's own coordinate system, code or WKT; empty when it has none worth keeping.

    Raises:
        GridTrouble: No position is left, or they lie beyond 84 north or 80 south, where no plane grid is true.

    Source:
        Areas of use: IOGP EPSG data set as shipped with PROJ. Order: national grid before UTM, common practice.
        Checked in tests/validation/test_grid_choice.py.

    Example:
        >>> suggest_grid(np.array([[144.25, -23.44]])).name
        'GDA2020 / MGA zone 55'
    """
    longitude, latitude = _middle(lonlat)
    kept = ""
    if stated:
        why_not = usable_as_grid(stated)
        if not why_not:
            return GridChoice(stated, grid_name(stated), "it is the source's own grid")
        kept = "" if system(stated).is_lonlat else f"; {why_not}"
    for national in _NATIONAL:
        code = national(longitude, latitude)
        if code and _area_holds(code, longitude, latitude):
            return GridChoice(code, grid_name(code), f"it is the national grid there{kept}")
    zone = utm_zone(longitude)
    code = f"EPSG:{(32600 if latitude >= 0 else 32700) + zone}"
    reason = f"no national grid is known here for that place, and it lies in zone {zone}{kept}"
    return GridChoice(code, grid_name(code), reason)


def utm_zone(longitude: float) -> int:
    """Number of the six-degree zone that a longitude lies in; a zone's west edge belongs to it.

    Args:
        longitude: East of Greenwich; 180 and -180 are the same. [deg]

    Example:
        >>> utm_zone(144.0), utm_zone(180.0)
        (55, 1)
    """
    return int(np.floor((longitude + 180.0) / 6.0)) % 60 + 1


def _middle(lonlat: Floats) -> tuple[float, float]:
    finite = lonlat[np.isfinite(lonlat).all(axis=1)]
    if len(finite) == 0:
        raise GridTrouble("there is no position to choose a working grid by", remedy="say one with --crs")
    latitudes = finite[:, 1]
    beyond = int(((latitudes > NORTH_LIMIT_DEG) | (latitudes < SOUTH_LIMIT_DEG)).sum())
    if beyond:
        worst = float(latitudes[np.argmax(np.abs(latitudes))])
        raise GridTrouble(
            f"{beyond} of {len(finite)} positions lie beyond 84 north or 80 south, up to latitude {worst:.4f}, "
            "where no plane grid is true", remedy="check latitude and longitude; near a pole no fence can be planned")
    return mean_longitude(finite[:, 0]), float(latitudes.mean())


def _area_holds(code: str, longitude: float, latitude: float) -> bool:
    area = system(code).area
    if area is None:
        return False
    west, south, east, north = area
    return south <= latitude <= north and np.remainder(longitude - west, 360.0) <= np.remainder(east - west, 360.0)


def _australia(longitude: float, latitude: float) -> str:
    zone = utm_zone(longitude)
    return f"EPSG:{7800 + zone}" if 46 <= zone <= 59 else ""


def _new_zealand(longitude: float, latitude: float) -> str:
    return "EPSG:2193" if longitude > 0 else "EPSG:3793"


def _ireland(longitude: float, latitude: float) -> str:
    in_kintyre = longitude > -5.95 and latitude > 55.2  # inside the box of the Irish grid, yet in Scotland
    return "" if in_kintyre else "EPSG:2157"


def _great_britain(longitude: float, latitude: float) -> str:
    in_france = (latitude < 50.25 and longitude > -2.1) or (latitude < 51.05 and longitude > 1.45)  # the box holds both
    return "" if in_france else "EPSG:27700"


def _argentina(longitude: float, latitude: float) -> str:
    belt = round((longitude + 72.0) / 3.0) + 1
    return f"EPSG:{5342 + belt}" if 1 <= belt <= 7 else ""


def _united_states(longitude: float, latitude: float) -> str:
    zone = utm_zone(longitude)
    if zone >= 59:
        return f"EPSG:{6328 + zone - 59}"
    return f"EPSG:{6329 + zone}" if zone <= 19 else ""


_NATIONAL: tuple[Callable[[float, float], str], ...] = (
    _australia, _new_zealand, _ireland, _great_britain, _argentina, _united_states)
