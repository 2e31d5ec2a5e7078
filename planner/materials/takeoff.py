"""Takeoff: what each section is made of, counted by the fence type's rules."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class TakeoffRow:
    """One item of the materials list.

    Attributes:
        item: Item key.
        description: What to write on an order.
        unit: Unit it is counted in.
        net: Quantity that ends up in the fence; equals the sum of ``by_section``.
        waste: Allowance on top of it.
        order: Quantity to order, whole packs.
        confidence: Quantity to order so that it is enough with the chance chosen in the settings.
        pack: Size of a pack, roll or coil in that unit.
        packs: Number of packs in ``order``; where several roll lengths are mixed, the number of rolls.
        left_over: Order less net and waste.
        by_section: Section id to quantity, in order of section.
        rule: The rules that gave it, one sentence each.
    """

    item: str
    description: str
    unit: str
    net: float
    waste: float
    order: float
    confidence: float
    pack: float
    packs: int
    left_over: float
    by_section: tuple[tuple[str, float], ...]
    rule: tuple[str, ...]
