"""Items: what a rural store sells, in the units it sells it in. No prices: those belong to a job."""

from __future__ import annotations

from dataclasses import dataclass

from planner.spec.wires import Wire
from planner.units import Kilogram, Metre


@dataclass(frozen=True, slots=True)
class Item:
    """Something to buy.

    Attributes:
        key: Short readable key, such as ``steel-post-1650``.
        description: What to write on an order.
        unit: Unit it is counted in: ``m`` for roll and coil goods, ``each``, ``kg``, ``h``.
        pack: Smallest quantity sold, in that unit; 1 when sold singly. Ignored where stock lengths are given.
        mass_kg: Mass of one unit. [kg] None when unknown.
        stock_m: Roll or coil lengths sold, longest first; empty for counted goods. [m]
        family: Family of one thing in several lengths, such as ``steel-post``; empty for others.
        length_m: Length of one piece, for posts. [m] None for others.
        wire: The wire, for wire goods.
        timber: True for timber posts, which take staples instead of ties.
        long: True when it needs a rack or a long trailer.
        pieces_per_unit: Pieces in one unit, for goods counted by the piece and sold by mass: about 140 staples to
            the kilogram.
    """

    key: str
    description: str
    unit: str
    pack: float = 1.0
    mass_kg: Kilogram | None = None
    stock_m: tuple[Metre, ...] = ()
    family: str = ""
    length_m: Metre | None = None
    wire: Wire | None = None
    timber: bool = False
    long: bool = False
    pieces_per_unit: float = 1.0

    @property
    def piece_m(self) -> Metre | None:
        """Length of one piece of what is sold by length and cannot be rolled, such as a rail. [m] None for others."""
        return self.pack if self.unit == "m" and self.long and not self.stock_m else None
