"""Carting: what each load weighs and where it is dropped."""

from __future__ import annotations

from dataclasses import dataclass

from planner.units import Kilogram, Metre


@dataclass(frozen=True, slots=True)
class Drop:
    """What is left at one drop point.

    Attributes:
        line: Fence line.
        chainage_m: Where along it. [m]
        items: Item key and quantity.
        mass_kg: Mass of those with a known mass. [kg]
        unknown: Item keys whose mass is not known.
    """

    line: str
    chainage_m: Metre
    items: tuple[tuple[str, float], ...]
    mass_kg: Kilogram
    unknown: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Carting:
    """Loads of a job.

    Attributes:
        drops: Drop points in order.
        total_kg: Mass of everything with a known mass. [kg]
        loads: Trailer loads needed by mass alone.
        unknown: Item keys whose mass is not known: the loads are too few by these.
    """

    drops: tuple[Drop, ...]
    total_kg: Kilogram
    loads: int
    unknown: tuple[str, ...]
