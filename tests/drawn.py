"""Lines and features drawn for tests by metres from a corner of the map."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import numpy as np

from planner.alignment.line import FenceLine, Gate
from planner.materials.prices import PriceList
from planner.survey.features import Feature


@dataclass(frozen=True)
class MapCorner:
    """A corner of the map, from which metres east and north are counted.

    Attributes:
        east: East of it in the grid. [m]
        north: North of it. [m]
    """

    east: float
    north: float

    def line(self, name: str, kind: str, *corners: tuple[float, float], **facts: Any) -> FenceLine:
        """A fence line of a type, measured by RTK."""
        return FenceLine(name, kind, np.add(corners, [self.east, self.north]), accuracy="rtk", **facts)

    def gate(self, name: str, x: float, y: float, width_m: float) -> Gate:
        """A gate."""
        return Gate(name, self.east + x, self.north + y, width_m)

    def thing(self, meaning: str, name: str, *corners: tuple[float, float], area: bool = False, origin: str = "",
              **facts: str) -> Feature:
        """A feature with its facts, an underscore in their names for a blank."""
        text = ", ".join(f"{self.east + x} {self.north + y}" for x, y in corners + corners[:1] * area)
        wkt = f"POINT ({text})" if len(corners) == 1 else f"POLYGON (({text}))" if area else f"LINESTRING ({text})"
        return Feature(name, meaning, wkt, tuple((key.replace("_", " "), value) for key, value in facts.items()),
                       origin)


def of_day(prices: PriceList, dated: date) -> PriceList:
    """The price list with every price of one day."""
    return replace(prices, prices={key: replace(price, dated=dated) for key, price in prices.prices.items()})
