"""Coordinate systems: what one is called, whether it says its datum, and whether a job can be measured in it.

A file often says less than a library reads out of it: a projection on a GRS80 ellipsoid with an unknown datum is
offered as GDA2020, though it may as well be GDA94, 1.5 m away. Here a datum counts only when it is really stated.
"""

from __future__ import annotations

import re
from contextlib import suppress
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from pyproj import CRS
from pyproj.exceptions import CRSError

from planner.errors import GridTrouble

DATUM_NOT_STATED = "datum not stated"
_NO_DATUM = ("unknown", "unnamed", "not specified", "not_specified", "undefined", "unspecified")
_NAMED_FILE = re.compile(r"(?:grids|init|file|catalog)\s*=\s*\"?([^\s\"]+)|GRIDS\"\s*,\s*\"([^\"]*)\"|"
                         r"PARAMETERFILE\s*\[\s*\"[^\"]*\"\s*,\s*\"([^\"]*)\"|"
                         r"\"(?:value|filename|name)\"\s*:\s*\"([^\"]*\.\w{2,4})\"", re.IGNORECASE)
_ELSEWHERE = re.compile(r"[/\\]|\.\.|^[A-Za-z]:")
_SAY = "say which with an EPSG code such as EPSG:7855, or with the text of a .prj file"


@dataclass(frozen=True, slots=True)
class CoordinateSystem:
    """The horizontal part of a coordinate system, with what this program asks of it.

    Attributes:
        crs: The system for changing coordinates, with a datum shift of its own where one was attached. A pyproj CRS.
        plain: The same without an attached shift. A pyproj CRS.
        datum: Name of the datum; empty when none is stated.
    """

    crs: Any
    plain: Any
    datum: str

    @property
    def is_lonlat(self) -> bool:
        """True when positions are longitude and latitude."""
        return bool(self.plain.is_geographic)

    @property
    def area(self) -> tuple[float, float, float, float] | None:
        """West, south, east, north of the area of use. [deg] West above east across 180; None when not stated."""
        known = self.plain.area_of_use
        if known is None:
            code = code_of(self)
            known = CRS.from_user_input(code).area_of_use if code else None
        return None if known is None else known.bounds


def system(crs_like: object) -> CoordinateSystem:
    """The coordinate system that a code, a WKT text or a library's object stands for.

    Args:
        crs_like: ``EPSG:7855``, ``7855``, WKT, a PROJ text, or an object with ``to_wkt``.

    Raises:
        GridTrouble: It stands for none, or for one that has no place on the earth.
    """
    if isinstance(crs_like, str):
        _refuse_elsewhere(crs_like)
        return _system(crs_like.strip())
    if isinstance(crs_like, int):
        return _system(f"EPSG:{crs_like}")
    to_wkt = getattr(crs_like, "to_wkt", None)
    if to_wkt is None:
        raise GridTrouble(f"'{crs_like}' is no coordinate system", remedy=_SAY)
    _refuse_elsewhere(wkt := str(to_wkt()))
    return _system(wkt)


def file_wanted(text: str) -> str:
    """The file or address that the text of a coordinate system would make a library open; empty when there is none.

    A plain name, such as that of a published shift grid, is looked for among the library's own grids and is no harm.

    Args:
        text: WKT, PROJ text or JSON, or any text that holds one.

    Example:
        >>> file_wanted("+proj=longlat +nadgrids=/home/ann/x.gsb"), file_wanted("+proj=longlat +nadgrids=@null")
        ('/home/ann/x.gsb', '')
    """
    for found in _NAMED_FILE.finditer(text):
        named = next(group for group in found.groups() if group is not None)
        if _ELSEWHERE.search(named):
            return str(named[:200])
    return ""


def _refuse_elsewhere(text: str) -> None:
    if named := file_wanted(text):
        raise GridTrouble(f"the coordinate system wants another file ({named[:80]}), which is not opened", remedy=_SAY)


def to_code(crs_like: object) -> str:
    """A code such as ``EPSG:7855`` where the system is exactly that and its datum is really stated; WKT otherwise.

    Heights are left aside: a system with a height part gives the code of its horizontal part.

    Args:
        crs_like: ``EPSG:7855``, ``7855``, WKT, a PROJ text, or an object with ``to_wkt``.

    Raises:
        GridTrouble: It stands for no coordinate system.

    Example:
        >>> to_code(7855)
        'EPSG:7855'
    """
    known = system(crs_like)
    return code_of(known) or str(known.crs.to_wkt())


def code_of(known: CoordinateSystem) -> str:
    """The authority code of a system; empty when it has none or its datum is not stated.

    Args:
        known: The system.
    """
    return _code(known.plain.to_wkt()) if known.datum else ""


def grid_name(crs: str) -> str:
    """Name of a coordinate system for people, with its datum.

    Args:
        crs: Code or WKT.

    Raises:
        GridTrouble: It stands for no coordinate system.

    Example:
        >>> grid_name("EPSG:7855")
        'GDA2020 / MGA zone 55'
    """
    known = system(crs)
    code = code_of(known)
    name = str(CRS.from_user_input(code).name) if code else str(known.plain.name)
    if known.is_lonlat:
        name = f"{name} longitude and latitude"
    if not known.datum:
        return f"{name} ({DATUM_NOT_STATED})"
    datum = lonlat_datum(crs)
    return name if name.startswith(datum) else f"{name} (datum {datum})"


def lonlat_datum(crs: str) -> str:
    """Name of the datum in which a grid's own longitude and latitude stand.

    Args:
        crs: Code or WKT.

    Raises:
        GridTrouble: It stands for no coordinate system.

    Example:
        >>> lonlat_datum("EPSG:28355")
        'GDA94'
    """
    known = system(crs)
    if not known.datum:
        return DATUM_NOT_STATED
    geodetic = system(known.plain.geodetic_crs.to_wkt())
    code = code_of(geodetic)
    return str(CRS.from_user_input(code).name) if code else known.datum


def grid_before_reading(own: str, stated: str) -> str:
    """The working grid as far as it is known before files are read: the job's own, else what a person stated where a
    job can be measured in it, else none.

    Args:
        own: Working grid of the job, as code or WKT; empty when it has none yet.
        stated: What a person stated for files that state nothing; empty when nothing.

    Example:
        >>> grid_before_reading("", "EPSG:7855"), grid_before_reading("", "EPSG:4326")
        ('EPSG:7855', '')
    """
    return own or (stated if stated and not usable_as_grid(stated) else "")


def usable_as_grid(crs: str) -> str:
    """Empty when a job can be measured in this coordinate system, else one sentence saying why not.

    Args:
        crs: Code or WKT.

    Example:
        >>> usable_as_grid("EPSG:7855")
        ''
        >>> usable_as_grid("EPSG:3857")
        'WGS 84 / Pseudo-Mercator stretches lengths by up to twice and more, so nothing can be measured in it'
    """
    try:
        known = system(crs)
    except GridTrouble as trouble:
        return trouble.what
    plain, name = known.plain, grid_name(crs)
    if not plain.is_projected:
        return f"{name} counts in degrees, not in metres"
    units = {axis.unit_name for axis in plain.axis_info}
    if units != {"metre"}:
        return f"{name} counts in {' and '.join(sorted(units))}, not in metres"
    if is_web_mercator(known) or plain.coordinate_operation.method_name.startswith("Mercator"):
        return f"{name} stretches lengths by up to twice and more, so nothing can be measured in it"
    directions = sorted(axis.direction.lower() for axis in plain.axis_info)
    if directions != ["east", "north"]:
        return f"the axes of {name} point {' and '.join(directions)}, not east and north"
    if plain.prime_meridian.longitude != 0 or any(a.unit_name != "degree" for a in plain.geodetic_crs.axis_info):
        return f"{name} does not count its longitudes in degrees from Greenwich"
    return "" if _keeps_angles(known) else f"{name} does not keep angles, so bearings and lengths in it are not true"


def is_web_mercator(known: CoordinateSystem) -> bool:
    """True for the stretched grid of web maps.

    Args:
        known: The system.
    """
    operation = known.plain.coordinate_operation
    return operation is not None and "pseudo mercator" in operation.method_name.lower().replace("-", " ")


def is_west_south(known: CoordinateSystem) -> bool:
    """True for grids counted west and south, such as the South African Lo systems.

    Args:
        known: The system.
    """
    return sorted(axis.direction.lower() for axis in known.plain.axis_info) == ["south", "west"]


def is_same(a: CoordinateSystem, b: CoordinateSystem) -> bool:
    """True when the same numbers, east before north, mean the same place in both.

    Args:
        a: One system.
        b: The other. An unknown datum is the same only as an unknown datum.
    """
    return bool(a.datum) == bool(b.datum) and _same(a.plain, b.plain)


def is_same_but_datum(a: CoordinateSystem, b: CoordinateSystem) -> bool:
    """True when two systems project alike, whatever their datums.

    Args:
        a: One system.
        b: The other.
    """
    if a.is_lonlat or b.is_lonlat:
        return a.is_lonlat and b.is_lonlat
    one, other = a.plain, b.plain
    return _axes(one) == _axes(other) and _same_projection(one.coordinate_operation, other.coordinate_operation)


@lru_cache(maxsize=256)
def _system(text: str) -> CoordinateSystem:
    try:
        crs = _horizontal(CRS.from_user_input(text))
        plain = _horizontal(crs.source_crs) if crs.is_bound else crs
        placed = plain.datum is not None and plain.geodetic_crs is not None
    except CRSError:
        shown = text if len(text) <= 40 else text[:37] + "..."
        raise GridTrouble(f"'{shown}' is no coordinate system that is known here", remedy=_SAY) from None
    if not placed:
        raise GridTrouble(f"'{plain.name}' is a local system without a place on the earth", remedy=_SAY)
    datum = str(plain.datum.name)
    stated = not any(word in datum.lower() for word in _NO_DATUM)
    return CoordinateSystem(plain if stated else crs, plain, datum if stated else "")


def _horizontal(crs: Any) -> Any:
    if crs.is_compound:
        return _horizontal(crs.sub_crs_list[0])
    return crs if crs.is_bound or len(crs.axis_info) == 2 else crs.to_2d()


@lru_cache(maxsize=256)
def _code(wkt: str) -> str:
    crs = CRS.from_user_input(wkt)
    offered = _offered(crs)
    with suppress(CRSError):  # names such as GCS_GDA2020 are told apart only in the form of a .prj file
        offered += _offered(CRS.from_user_input(crs.to_wkt("WKT1_ESRI")))
    return next((code for code in offered if _same(CRS.from_user_input(code), crs)), "")


def _offered(crs: Any) -> list[str]:
    epsg, authority = crs.to_epsg(min_confidence=25), crs.to_authority(min_confidence=25)
    return ([f"EPSG:{epsg}"] if epsg else []) + ([":".join(authority)] if authority else [])


def _same(a: Any, b: Any) -> bool:
    if a.is_geographic != b.is_geographic or a.is_projected != b.is_projected:
        return False
    if not a.is_projected:
        return bool(a.equals(b, ignore_axis_order=True))
    return (_axes(a) == _axes(b) and bool(a.geodetic_crs.equals(b.geodetic_crs, ignore_axis_order=True))
            and _same_projection(a.coordinate_operation, b.coordinate_operation))


def _axes(crs: Any) -> list[tuple[str, float]]:
    return sorted((axis.direction.lower(), float(axis.unit_conversion_factor)) for axis in crs.axis_info)


def _same_projection(a: Any, b: Any) -> bool:
    if a.method_name != b.method_name:
        return False
    one, other = ({p.name: p.value * (p.unit_conversion_factor or 1.0) for p in op.params} for op in (a, b))
    return one.keys() == other.keys() and all(
        bool(np.isclose(one[name], other[name], rtol=1e-12, atol=1e-12)) for name in one)


def _keeps_angles(known: CoordinateSystem) -> bool:
    method = known.plain.coordinate_operation.method_name.lower()
    return not any(word in method for word in _ANGLES_LOST)


_ANGLES_LOST = ("equal area", "equal earth", "equidistant", "polyconic", "cassini", "sinusoidal", "bonne", "robinson",
                "mollweide", "eckert", "miller", "gall", "cylindrical", "azimuthal", "orthographic", "winkel")
