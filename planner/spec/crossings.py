"""Crossings and hold-downs: the parts of a floodgate span, and what each rung of the hold-down ladder takes."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from planner.errors import FileTrouble
from planner.shipped import resources
from planner.spec.tables import Table, parse_toml
from planner.units import Metre

_FILE = "crossings.toml"


@dataclass(frozen=True, slots=True)
class FloodgateKit:
    """Parts of a span that hangs from its own cable between its own anchors.

    Attributes:
        description: What to call it on a sheet.
        cable: Item key of the cable.
        cables: Cables from anchor to anchor.
        cable_tail_m: Cable used up at each end. [m]
        cable_sag_share: Sag of the loaded cable at mid-span over the span.
        cable_grip: Item key of a cable grip.
        cable_grips_per_end: Grips of one cable at each end.
        shackle: Item key of a shackle.
        shackles_per_end: Shackles of one cable at each end.
        dropper: Item key of a hanging dropper.
        dropper_length_m: Length of one dropper; where it does not reach the bed, further ones hang below it. [m]
        droppers_per_m: Droppers in a metre of span. [1/m]
        shackles_per_dropper: Shackles that hang one dropper.
        curtain: Item key of the netting that hangs between the droppers; empty when none.
        curtain_height_m: Height of one row of it; as many rows hang as reach the bed. [m]
        curtain_tail_m: Netting lapped at each end. [m]
        ring: Item key of a ring that fixes the curtain.
        rings_per_m: Rings in a metre of span. [1/m]

    Source:
        Independent, flexible span with its own anchors, droppers tied at the top only: NSW DPI Primefact 681 (2009).
        Quantities: common practice, no source.
    """

    description: str
    cable: str
    cables: int
    cable_tail_m: Metre
    cable_sag_share: float
    cable_grip: str
    cable_grips_per_end: int
    shackle: str
    shackles_per_end: int
    dropper: str
    dropper_length_m: Metre
    droppers_per_m: float
    shackles_per_dropper: int
    curtain: str
    curtain_height_m: Metre
    curtain_tail_m: Metre
    ring: str
    rings_per_m: float

    def cable_length_m(self, span_m: Metre) -> Metre:
        """Length of one cable, its sag and its tails included. [m]

        Args:
            span_m: Distance between the anchors. [m]

        Source:
            Flat parabola: length = span (1 + 8/3 (sag/span)^2). Any textbook of statics.

        Example:
            >>> round(floodgate_kit().cable_length_m(36.0), 3)
            39.24
        """
        return span_m * (1.0 + 8.0 / 3.0 * self.cable_sag_share**2) + 2.0 * self.cable_tail_m

    def droppers_deep(self, drop_m: Metre | None) -> int:
        """Droppers that hang one below the other to reach the bed; 1 where its depth is not known.

        Args:
            drop_m: Height of the cable above the bed: depth and height of the fence. [m]

        Example:
            >>> floodgate_kit().droppers_deep(1.2 + 2.6)
            3
        """
        return 1 if drop_m is None else max(1, math.ceil(drop_m / self.dropper_length_m - 1e-9))

    def curtains_deep(self, drop_m: Metre | None) -> int:
        """Rows of curtain that reach the bed; 1 where its depth is not known.

        Args:
            drop_m: Height of the cable above the bed: depth and height of the fence. [m]
        """
        return 1 if drop_m is None else max(1, math.ceil(drop_m / self.curtain_height_m - 1e-9))


@lru_cache(maxsize=1)
def _shipped() -> tuple[FloodgateKit, Mapping[str, tuple[tuple[str, float], ...]]]:
    path = resources() / _FILE
    try:
        text = path.read_text(encoding="utf-8")
    except OSError as trouble:
        raise FileTrouble("the parts of crossings cannot be read", where=str(path),
                          remedy="install the program again") from trouble
    table = Table(parse_toml(text, file=_FILE), file=_FILE)
    gate, rungs = _read_floodgate(table.table("floodgate")), table.table("hold_downs")
    table.finish()
    return gate, {name: rungs.amounts(name, high=1000.0) for name, _ in rungs.each()}


def floodgate_kit() -> FloodgateKit:
    """The parts of a floodgate span, as shipped.

    Raises:
        FileTrouble: The file is missing.
        BadFenceType: The file breaks its own rules.
    """
    return _shipped()[0]


def hold_down_parts() -> Mapping[str, tuple[tuple[str, float], ...]]:
    """Rung of the hold-down ladder to the item keys and quantities that it takes for one post.

    Raises:
        FileTrouble: The file is missing.
        BadFenceType: The file breaks its own rules.
    """
    return _shipped()[1]


def _read_floodgate(table: Table) -> FloodgateKit:
    kit = FloodgateKit(
        description=table.text("description"),
        cable=table.text("cable"),
        cables=table.whole("cables", low=1, high=20),
        cable_tail_m=table.number("cable_tail_m", low=0.0, high=20.0, unit="m"),
        cable_sag_share=table.number("cable_sag_share", low=0.0, high=0.5),
        cable_grip=table.text("cable_grip"),
        cable_grips_per_end=table.whole("cable_grips_per_end", low=0, high=20),
        shackle=table.text("shackle"),
        shackles_per_end=table.whole("shackles_per_end", low=0, high=20),
        dropper=table.text("dropper"),
        dropper_length_m=table.number("dropper_length_m", low=0.1, high=20.0, unit="m"),
        droppers_per_m=table.number("droppers_per_m", low=0.0, high=20.0),
        shackles_per_dropper=table.whole("shackles_per_dropper", low=0, high=10),
        curtain=table.text("curtain", default=""),
        curtain_height_m=table.number("curtain_height_m", low=0.1, high=20.0, unit="m", default=1.0),
        curtain_tail_m=table.number("curtain_tail_m", low=0.0, high=20.0, unit="m", default=0.0),
        ring=table.text("ring"),
        rings_per_m=table.number("rings_per_m", low=0.0, high=100.0),
    )
    table.finish()
    return kit
