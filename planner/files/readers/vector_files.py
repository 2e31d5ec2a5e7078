"""Files of shapes and fields: Shapefile, GeoPackage, GeoJSON, FlatGeobuf, KML, GML.

Read in bulk; when one bad feature stops the bulk reader, feature by feature, so that the bad one is named and the
rest is kept. Only the drivers named here are let at a file, and none of them is given a name that a stranger wrote.
"""

from __future__ import annotations

import warnings
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from planner.errors import FileTrouble
from planner.files.readers import shapefile_repair
from planner.files.readers.closed_doors import OPTIONS
from planner.files.readers.feature_by_feature import read_features
from planner.files.readers.gathering import gathered
from planner.files.readers.grids import Grid, grid_of
from planner.files.readers.level_units import levels_in_metres
from planner.files.readers.markup import walked_times
from planner.files.readers.rules import Troubles
from planner.files.readers.shapes import Layer, Times, read_layer
from planner.geometry.arrays import Floats
from planner.progress import Progress
from planner.survey.fixes import Reading

_QUIET = ("More than one layer found", "Non closed ring detected", "invalid value encountered", "Field with same name")
_LOSES_M = "Measured (M) geometry types"
_LONLAT_NOTE = "The format is always in WGS 84 longitude and latitude."


@dataclass(frozen=True, slots=True)
class _Source:
    opened: Path
    file: str
    driver: tuple[str, ...]
    stem: str
    encodings: tuple[str | None, ...] = (None,)
    stated: str | None = None
    text: str = ""
    lonlat: bool = False


def read_shapefile(path: Path, choices: Mapping[str, str], progress: Progress) -> Reading:
    """One shapefile; its companions are looked for beside it.

    Args:
        path: The ``.shp`` file.
        choices: ``axes`` = ``swapped`` when east and north changed places.
        progress: Who waits.

    Raises:
        FileTrouble: It cannot be opened.
    """
    try:
        return _read_shapefile(path, choices, progress, ())
    except FileTrouble as trouble:
        for without in shapefile_repair.damage_to_try(path):
            with suppress(FileTrouble):
                return _read_shapefile(path, choices, progress, without)
        raise trouble from None


def _read_shapefile(path: Path, choices: Mapping[str, str], progress: Progress, without: tuple[str, ...]) -> Reading:
    troubles = Troubles(str(path))
    with shapefile_repair.sound_shapefile(path, troubles, without) as opened:
        stated = shapefile_repair.stated_system(path, troubles)
        source = _Source(opened, str(path), ("ESRI Shapefile",), path.stem, shapefile_repair.encodings(path), stated)
        return _read(source, choices, progress, troubles)


def read_opened(
    opened: Path,
    path: Path,
    driver: tuple[str, ...],
    choices: Mapping[str, str],
    progress: Progress,
    troubles: Troubles,
    text: str = "",
) -> Reading:
    """A file of any other kind that is safe to open.

    Args:
        opened: Path under which it is opened.
        path: Path as given.
        driver: Drivers that may open it.
        choices: ``axes`` = ``swapped``; ``layer`` = the one layer wanted.
        progress: Who waits.
        troubles: Where trouble is noted.
        text: Text of a KML file, for the times of its tracks.

    Raises:
        FileTrouble: It cannot be opened.
    """
    return _read(
        _Source(
            opened, str(path), driver, path.name.partition(".")[0] or path.name, text=text, lonlat="LIBKML" in driver
        ),
        choices,
        progress,
        troubles,
    )


def _read(source: _Source, choices: Mapping[str, str], progress: Progress, troubles: Troubles) -> Reading:
    layers = _layers(source, troubles)
    if "layer" in choices:
        if choices["layer"] not in layers:
            raise FileTrouble(
                f"has no layer '{choices['layer']}'", where=source.file, remedy=f"choose one of {', '.join(layers)}"
            )
        layers = [choices["layer"]]
    readings = []
    for i, name in enumerate(layers):
        progress.stop_if_cancelled()
        progress.report(i / len(layers), f"reading {source.stem}, layer {name}")
        mine = Troubles(source.file, name if len(layers) > 1 else "")
        readings.append((name, _read_layer(source, name, name if len(layers) > 1 else source.stem, choices, mine)))
    if not layers:
        troubles.add("survey-60", "the file holds no layer of shapes.", severity="warning")
    progress.report(1.0, f"read {source.stem}")
    return gathered(source.file, readings, troubles, (_LONLAT_NOTE,) if source.lonlat else ())


def _layers(source: _Source, troubles: Troubles) -> list[str]:
    import pyogrio

    pyogrio.set_gdal_config_options(OPTIONS)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            found = pyogrio.list_layers(source.opened)
            driver = pyogrio.read_info(source.opened, layer=found[0][0])["driver"] if len(found) else source.driver[0]
    except (RuntimeError, ValueError, NameError) as error:  # the library trips over an unset name on some bad systems
        raise _unreadable(source, error) from None
    if driver not in source.driver:
        raise FileTrouble(
            "is not of the kind that its content begins like", where=source.file, remedy="export it again"
        )
    for name, kind in found:
        if kind is None:
            troubles.add("survey-60", f"the table {name} has no shapes and is not read.")
    return [str(name) for name, kind in found if kind is not None]


def _unreadable(source: _Source, error: Exception) -> FileTrouble:
    why = " ".join(str(error).replace(str(source.opened), source.file).split())[:200].rstrip(".")
    return FileTrouble(
        f"cannot be read: {why}", where=source.file, remedy="export it again, or check that it is the right file"
    )


def _read_layer(source: _Source, layer: str, name: str, choices: Mapping[str, str], troubles: Troubles) -> Reading:
    crs, geometries, rows, fields, columns = _bulk(source, layer, troubles)
    stated = source.stated if source.stated is not None else crs
    grid = grid_of(stated, troubles, swapped=choices.get("axes") == "swapped")
    if not stated and source.stated is None:
        troubles.add("survey-59", "the coordinate system is not stated.")
    if not len(geometries):
        troubles.add("survey-40", "there is no feature in it.")
    lines, points = read_layer(Layer(name, geometries, rows, fields, columns), grid, troubles, _times(source))
    reading = Reading(source.file, grid.crs, tuple(lines), tuple(points), troubles.findings(), _notes(source, grid))
    return levels_in_metres(reading, choices, crs=stated if grid.crs else "")


def _notes(source: _Source, grid: Grid) -> tuple[str, ...]:
    if not grid.crs or source.lonlat:
        return ()
    where = "its .prj file" if source.stated else "the file itself"
    short = grid.crs if grid.crs.startswith(("EPSG:", "ESRI:", "OGC:")) else "a system without a code"
    return (f"Coordinate system read from {where}: {short}.",)


def _times(source: _Source) -> Times | None:
    known = walked_times(source.text)

    def times(xy: Floats) -> Floats | None:
        return known.get((len(xy), np.ascontiguousarray(xy).tobytes()))

    return times if known else None


def _bulk(
    source: _Source, layer: str, troubles: Troubles
) -> tuple[str, Any, list[int], tuple[str, ...], tuple[Any, ...]]:
    import pyogrio.raw

    last: Exception | None = None
    for tried, encoding in enumerate(source.encodings):
        try:
            with warnings.catch_warnings(record=True) as remarks:
                warnings.simplefilter("always")
                meta, _, wkb, values = pyogrio.raw.read(source.opened, layer=layer, encoding=encoding)
        except UnicodeError as error:
            last = error
            continue
        except (RuntimeError, ValueError, OverflowError, NameError) as error:
            last = error
            break
        _say_encoding(encoding, tried, values, troubles)
        for remark in dict.fromkeys(str(r.message) for r in remarks):
            _say_remark(remark, source, troubles)
        geometries = _from_wkb(wkb, troubles)
        rows = list(range(1, len(geometries) + 1))
        return str(meta["crs"] or ""), geometries, rows, tuple(str(f) for f in meta["fields"]), tuple(values)
    read = read_features(source.opened, layer, source.driver, troubles)
    if read is None:
        raise _unreadable(source, last or RuntimeError("no reader accepts it")) from None
    troubles.add(
        "survey-69", f"read feature by feature, because the quick way failed ({' '.join(str(last).split())[:120]})."
    )
    return read


def _say_encoding(encoding: str | None, tried: int, values: Any, troubles: Troubles) -> None:
    if encoding is None or (encoding == "UTF-8" and not tried and _is_plain(values)):
        return
    if not tried and not _is_plain(values):
        troubles.add("survey-57", "the file does not say how its letters are written; they read well as UTF-8.")
    elif tried:
        troubles.add("survey-57", f"the letters are not written as stated or as UTF-8; read as {encoding}.")


def _is_plain(values: Any) -> bool:
    return all(str(v).isascii() for column in values if column.dtype == object for v in column)


def _say_remark(remark: str, source: _Source, troubles: Troubles) -> None:
    if remark.startswith(_LOSES_M):
        troubles.add("survey-69", "the measures (M values) of the corners are not read.")
    elif not remark.startswith(_QUIET):
        troubles.add(
            "survey-69", f"the reader remarks: {remark.replace(str(source.opened), source.file)[:200].rstrip('.')}."
        )


def _from_wkb(wkb: Any, troubles: Troubles) -> Any:
    import shapely

    with np.errstate(all="ignore"):
        try:
            return shapely.from_wkb(wkb, on_invalid="raise")
        except shapely.errors.ShapelyError:
            pass
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            geometries = shapely.from_wkb(wkb, on_invalid="ignore")
            for i in np.flatnonzero(shapely.is_missing(geometries)):
                if wkb[i] is None:
                    continue
                geometries[i] = shapely.from_wkb(wkb[i], on_invalid="fix")
                _say_fixed(geometries[i], int(i) + 1, troubles)
    return geometries


def _say_fixed(fixed: Any, row: int, troubles: Troubles) -> None:
    if fixed is None:
        troubles.add("survey-41", f"row {row} is a line with one corner only, or a shape of a kind not known.", row=row)
    else:
        troubles.add("survey-51", f"a ring of row {row} was not closed; closed with a straight side.", row=row)
