"""Roll and coil plan: which rolls to buy, and where to cut each."""

from __future__ import annotations

from dataclasses import dataclass

from planner.units import Metre


@dataclass(frozen=True, slots=True)
class RollDemand:
    """A length of one item to be covered without a needless join.

    Attributes:
        section: Section id.
        part: What it is in that section, such as ``sub-run 1`` or ``top barb``.
        from_m: Chainage where it starts. [m]
        to_m: Chainage where it ends. [m]
        length_m: Length to cover, tails included. [m]
        allowed_m: Distances from its start at which a roll join may be made; None when anywhere. [m]
    """

    section: str
    part: str
    from_m: Metre
    to_m: Metre
    length_m: Metre
    allowed_m: tuple[Metre, ...] | None = None


@dataclass(frozen=True, slots=True)
class Cut:
    """One piece cut from a roll.

    Attributes:
        demand: Index of the demand it covers.
        section: Section id.
        part: What it is in that section.
        start_m: Distance from the start of the demand at which the piece begins. [m]
        length_m: Length of the piece. [m]
        from_m: Chainage at which it begins. [m]
        to_m: Chainage at which it ends. [m]
    """

    demand: int
    section: str
    part: str
    start_m: Metre
    length_m: Metre
    from_m: Metre
    to_m: Metre


@dataclass(frozen=True, slots=True)
class Roll:
    """One roll or coil, and the pieces cut from it in order.

    Attributes:
        stock: Number of the roll in the plan of its item, from 1.
        item: Item key.
        length_m: Length as bought. [m]
        cuts: Pieces, in the order they come off.
        left_m: What is left on it. [m]
    """

    stock: int
    item: str
    length_m: Metre
    cuts: tuple[Cut, ...]
    left_m: Metre


@dataclass(frozen=True, slots=True)
class RollPlan:
    """The roll plan of one item, with its proof.

    Attributes:
        item: Item key.
        rolls: Rolls to buy, in order of use.
        joins: Number of joins inside demands.
        cost: Stock cost plus join cost plus unusable offcut, in the plan's own money.
        bound: No plan can cost less.
        gap: (cost - bound) / bound.
        status: ``optimal``, ``within the gap`` or ``greedy``.
    """

    item: str
    rolls: tuple[Roll, ...]
    joins: int
    cost: float
    bound: float
    gap: float
    status: str
