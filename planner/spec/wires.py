"""Wires: what a single strand weighs, carries and stretches."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from planner.units import STEEL_DENSITY_KG_M3, Metre, Newton

StrandKind = Literal["plain", "barbed", "hot", "earth", "sight", "cable", "poly", "rail"]
TieRule = Literal["every-post", "every-second-post", "droppers-too", "none"]


@dataclass(frozen=True, slots=True)
class Wire:
    """A wire as bought.

    Attributes:
        diameter_m: Diameter of one filament. [m]
        filaments: Filaments twisted together; 2 for most barbed wire.
        breaking_n: Breaking load of the whole wire. [N] None when unknown.
    """

    diameter_m: Metre
    filaments: int = 1
    breaking_n: Newton | None = None

    @property
    def area_m2(self) -> float:
        """Steel area that carries the pull. [m2]"""
        return self.filaments * math.pi * self.diameter_m**2 / 4

    @property
    def steel_kg_per_m(self) -> float:
        """Mass of plain steel of this section; barbs and coating come on top. [kg/m]"""
        return self.area_m2 * STEEL_DENSITY_KG_M3


@dataclass(frozen=True, slots=True)
class Strand:
    """One wire of a fence, run and strained by itself.

    Attributes:
        name: What the crew calls it, such as ``top barb``.
        height_m: Height above the ground. [m]
        kind: plain, barbed, hot, earth, sight, cable, poly or rail.
        item: Item key of the wire in the item list.
        strain_n: Tension it is strained to. [N]
        tie: At which posts it is fixed.
        tie_item: Item key of the fixing on a steel post; empty when none is needed.
        tail_m: Wire used up at each end of a strain. [m]
        timber_tie_item: Item key of the fixing on a timber post; empty when none is needed.
        end_items: Item keys used at each end of a strain, one of each: an end insulator, a crimp sleeve. Empty when
            the wire is knotted.
        join_item: Item key of the sleeve where two lengths of this wire meet; empty when it is knotted.
    """

    name: str
    height_m: Metre
    kind: StrandKind
    item: str
    strain_n: Newton
    tie: TieRule
    tie_item: str
    tail_m: Metre
    timber_tie_item: str = ""
    end_items: tuple[str, ...] = ()
    join_item: str = ""
