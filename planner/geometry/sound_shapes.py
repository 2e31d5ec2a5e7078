"""Shapes from texts, mended so that they can be cut and measured."""

from __future__ import annotations

from typing import Any

import shapely


def sound_shape(wkt: str) -> Any:
    """A shape; an area that crosses itself is mended, since it could be neither cut nor measured.

    Args:
        wkt: The shape as OGC well-known text.

    Example:
        >>> sound_shape("POLYGON ((0 0, 2 2, 2 0, 0 2, 0 0))").area
        2.0
    """
    shape = shapely.from_wkt(wkt)
    return shape if shapely.is_valid(shape) else shapely.make_valid(shape)
