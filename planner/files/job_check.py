"""Whether the rows of a job file are what their columns say, before a job is made of them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
import shapely

from planner.files.geopackage import Layer
from planner.settings import ACCURACY_CLASSES
from planner.survey.ground import RecordedLevels

_MAY_BE_UNKNOWN = {"depth_m", "level_m", "width_m"}
_LAYERS_OF_UNKNOWN = {"crossings", "survey_points"}
_KINDS: dict[str, tuple[type, ...]] = {
    "TEXT": (str,), "DOUBLE": (int, float), "INTEGER": (int,), "BOOLEAN": (int,), "BLOB": (bytes,)}
_SHAPES = {"POINT": "Point", "LINESTRING": "LineString"}


def check_features(layer: Layer, rows: Sequence[tuple[Any, ...]]) -> None:
    """Checks the rows of a feature table, geometry first.

    Args:
        layer: The table.
        rows: Its rows.

    Raises:
        ValueError: A shape is of another kind, empty or without a position, or a value is not what its column says.
    """
    for number, (shape, *values) in enumerate(rows, start=1):
        wanted = _SHAPES.get(layer.geometry, shape.geom_type)
        if shape.geom_type != wanted or shape.is_empty or not np.isfinite(shapely.get_coordinates(shape)).all():
            raise ValueError(f"row {number} of {layer.name} is no {wanted.lower()} with a position")
        _check_values(layer.name, layer.fields, number, values)


def check_table(name: str, fields: Iterable[tuple[str, str]], rows: Sequence[tuple[Any, ...]]) -> None:
    """Checks the rows of one of the program's own tables.

    Args:
        name: The table.
        fields: Its columns and their types.
        rows: Its rows.

    Raises:
        ValueError: A value is not what its column says.
    """
    for number, values in enumerate(rows, start=1):
        _check_values(name, fields, number, values)


def check_lines(lines: Sequence[tuple[Any, ...]], on_lines: Iterable[tuple[str, str]]) -> None:
    """Checks that lines have names of their own, and that what stands on a line has one.

    Args:
        lines: Rows of the lines: shape, name, fence, closed, accuracy, origin.
        on_lines: What stands on a line, and that line's name.

    Raises:
        ValueError: A name is used twice, an accuracy class is unknown, or a line is not there.
    """
    names = [row[1] for row in lines]
    for name in names:
        if names.count(name) > 1:
            raise ValueError(f"two lines are called '{name}'")
    for row in lines:
        if row[4] not in ACCURACY_CLASSES:
            raise ValueError(f"the line '{row[1]}' has no accuracy class '{row[4]}'")
    for what, line in on_lines:
        if line not in names:
            raise ValueError(f"{what} stands on the line '{line}', which is not there")


def check_levels(name: str, levels: RecordedLevels) -> None:
    """Checks that recorded levels fit together.

    Args:
        name: The line they were recorded along.
        levels: The levels.

    Raises:
        ValueError: Their rows differ in length, or do not run forward.
    """
    count = len(levels.at_m)
    fits = len(levels.level_m) == len(levels.sd_m) == len(levels.source) == count >= 2 and len(levels.xy) >= 2
    if not fits or not (np.diff(levels.at_m) > 0).all() or not np.isfinite(levels.xy).all():
        raise ValueError(f"the levels recorded along '{name}' do not fit together")


def _check_values(table: str, fields: Iterable[tuple[str, str]], number: int, values: Sequence[Any]) -> None:
    for (column, kind), value in zip(fields, values, strict=True):
        if value is None and column in _MAY_BE_UNKNOWN and table in _LAYERS_OF_UNKNOWN:
            continue
        if not isinstance(value, _KINDS[kind]) or (isinstance(value, float) and not math.isfinite(value)):
            raise ValueError(f"row {number} of {table} has {value!r:.40} for its {column}")
