"""Carting: what each load weighs and where it is dropped."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from planner.materials.section_work import SectionWork
from planner.materials.takeoff import TakeoffRow
from planner.settings import Settings
from planner.spec.catalogue import Catalogue
from planner.spec.items import Item
from planner.units import Kilogram, Metre

_SLACK = 1e-9


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


def carting(works: Sequence[SectionWork], rows: Sequence[TakeoffRow], *, catalogue: Catalogue,
            settings: Settings) -> Carting:
    """What is dropped where along each line, and how many trailer loads the whole order makes.

    Drop points stand at the start of a line and every ``drop_spacing_m`` along it; all of a section is left at the
    drop point nearest to its middle. Drops hold net quantities, the loads everything ordered: the difference is
    waste and spares, which stay where they are unloaded. Loads are filled by mass alone, heaviest pieces first.

    Args:
        works: Sections of all lines.
        rows: Materials.
        catalogue: Items, for their masses.
        settings: Drop spacing and payload.
    """
    masses = [(row, catalogue.items[row.item]) for row in rows]
    units = [unit for row, item in masses for unit in pieces_of(row, item)]
    unknown = tuple(row.item for row, item in masses if item.mass_kg is None)
    total = math.fsum(mass * number for mass, number in units)
    return Carting(_drops(works, rows, catalogue, settings), total, loads_by_mass(units, settings.trailer_payload_kg),
                   unknown)


def pieces_of(row: TakeoffRow, item: Item) -> tuple[tuple[Kilogram, int], ...]:
    """Mass of one piece that cannot be divided, and how many are ordered; rolls and rails whole, all else one by one.

    Args:
        row: The order.
        item: Its item.
    """
    if item.mass_kg is None or row.order <= 0:
        return ()
    if item.stock_m:
        return tuple((length * item.mass_kg, number) for length, number in row.lots)
    if item.piece_m is not None:
        return ((item.piece_m * item.mass_kg, row.packs),)
    return ((item.mass_kg, math.ceil(row.order - _SLACK)),)


def loads_by_mass(pieces: Iterable[tuple[Kilogram, int]], payload_kg: Kilogram) -> int:
    """Trailer loads for pieces that cannot be divided, filled heaviest first.

    A piece heavier than the payload counts as one load; a check says so.

    Args:
        pieces: Mass of a piece and how many there are. [kg]
        payload_kg: What one load may weigh. [kg]

    Example:
        >>> loads_by_mass([(800.0, 3), (300.0, 2)], 1500.0)
        3
    """
    rooms: list[float] = []
    for mass, number in sorted(pieces, reverse=True):
        if mass <= 0:
            continue
        for k, room in enumerate(rooms):
            here = min(number, int((room + _SLACK) / mass))
            rooms[k] -= here * mass
            number -= here
        each = max(1, int((payload_kg + _SLACK) / mass))
        while number > 0:
            here = min(number, each)
            rooms.append(max(0.0, payload_kg - here * mass))
            number -= here
    return len(rooms)


def _drops(works: Sequence[SectionWork], rows: Sequence[TakeoffRow], catalogue: Catalogue,
           settings: Settings) -> tuple[Drop, ...]:
    spacing = settings.drop_spacing_m
    ends: dict[str, Metre] = {}
    for work in works:
        ends[work.line] = max(ends.get(work.line, 0.0), work.section.to_m)
    drop_of: dict[str, tuple[int, str, int]] = {}
    for work in works:
        nearest = math.floor((work.section.from_m + work.section.to_m) / 2 / spacing + 0.5)
        place = min(nearest, math.floor(ends[work.line] / spacing + _SLACK))
        drop_of[work.section.id] = (list(ends).index(work.line), work.line, place)
    left: dict[tuple[int, str, int], dict[str, float]] = {}
    for row in rows:
        for section, quantity in row.by_section:
            items = left.setdefault(drop_of[section], {})
            items[row.item] = items.get(row.item, 0.0) + quantity
    return tuple(_drop(line, place * spacing, items, catalogue)
                 for (_, line, place), items in sorted(left.items()))


def _drop(line: str, chainage: Metre, items: dict[str, float], catalogue: Catalogue) -> Drop:
    known = [(catalogue.items[key].mass_kg, quantity) for key, quantity in items.items()]
    mass = math.fsum(each * quantity for each, quantity in known if each is not None)
    unknown = tuple(key for key in items if catalogue.items[key].mass_kg is None)
    return Drop(line, chainage, tuple((key, round(q, 4)) for key, q in items.items()), mass, unknown)
