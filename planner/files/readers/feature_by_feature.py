"""The slow, patient way to read a layer: one feature at a time, naming those that cannot be read."""

from __future__ import annotations

import warnings
from pathlib import Path
from typing import Any

import numpy as np

from planner.files.readers.closed_doors import OPTIONS
from planner.files.readers.overheard import overheard
from planner.files.readers.rules import Troubles

_GIVE_UP = 100


def read_features(
    opened: Path, layer: str, drivers: tuple[str, ...], troubles: Troubles
) -> tuple[str, Any, list[int], tuple[str, ...], tuple[Any, ...]] | None:
    """Coordinate system, shapes, rows, fields and columns of a layer; None when it cannot even be opened.

    Args:
        opened: Path under which the file is opened.
        layer: Name of the layer.
        drivers: Drivers that may open it.
        troubles: Where features that cannot be read are noted.
    """
    import fiona
    from fiona._err import CPLE_BaseError
    from fiona.errors import FionaError

    known = [d for d in drivers if d in fiona.supported_drivers]
    if not known:
        return None
    read: list[tuple[int, Any, dict[str, Any]]] = []
    failures = (FionaError, CPLE_BaseError, OSError, RuntimeError, ValueError, KeyError, TypeError, AttributeError)
    try:
        with warnings.catch_warnings(), overheard("fiona") as said:
            warnings.simplefilter("ignore")
            with fiona.Env(**OPTIONS), fiona.open(opened, layer=layer, enabled_drivers=known) as source:
                crs = source.crs_wkt or ""
                fields = tuple(source.schema["properties"])
                _collect(iter(source), read, troubles, failures)
    except failures as error:  # a spoilt file may make the library stumble over its own layer
        if not read:
            return None
        troubles.add(
            "survey-56", f"the file breaks off after row {read[-1][0]} ({' '.join(str(error).split())[:120]})."
        )
    else:
        if said:
            troubles.add("survey-56", f"the file breaks off or is spoilt after row {len(read)} ({said[-1][:120]}).")
    geometries = np.array([None, *(shape for _, shape, _ in read)], dtype=object)[1:]
    columns = tuple([values.get(f) for _, _, values in read] for f in fields)
    return crs, geometries, [row for row, _, _ in read], fields, columns


def _collect(
    features: Any,
    read: list[tuple[int, Any, dict[str, Any]]],
    troubles: Troubles,
    failures: tuple[type[Exception], ...],
) -> None:
    from shapely.errors import ShapelyError
    from shapely.geometry import shape

    row = failed = 0
    while failed < _GIVE_UP:
        row += 1
        try:
            feature = next(features)
            found = None if feature.geometry is None else shape(feature.geometry)
        except StopIteration:
            return
        except (*failures, ShapelyError) as error:
            failed += 1
            troubles.add("survey-55", f"row {row} cannot be read ({' '.join(str(error).split())[:120]}).", row=row)
            continue
        read.append((row, found, dict(feature.properties)))
    troubles.add("survey-56", f"reading was given up at row {row}, after {_GIVE_UP} rows that cannot be read.", row=row)
