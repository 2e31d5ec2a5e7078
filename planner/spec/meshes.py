"""Prefabricated mesh and netting."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from planner.spec.wires import Wire
from planner.units import Degree, Metre, Newton

Knot = Literal["hinged", "fixed", "woven"]


@dataclass(frozen=True, slots=True)
class Mesh:
    """A prefabricated mesh: horizontal line wires knotted to vertical pickets. Small openings go down.

    Attributes:
        item: Item key of the roll in the item list; its stock lengths are the roll lengths.
        gap_below_m: Ground to the bottom line wire. [m]
        line_wire_heights_m: Height of each line wire above the bottom one, rising from 0. [m]
        picket_spacing_m: Distance between pickets. [m]
        line_wire: The wire its line wires are made of.
        strain_per_wire_n: Tension of each line wire after straining. [N]
        knot: hinged, fixed or woven.
        lean_limit_deg: How far its pickets may lean off plumb. [deg]
        crimp_amplitude_m: Half the height of the crimp wave in a line wire; 0 for none. [m]
        crimp_wave_m: Length of one crimp wave. [m]
        tail_m: Mesh used up at each end of a section. [m]
        ties_per_steel_post: Ties on a steel post.
        staples_per_timber_post: Staples on a timber post.
        tie_item: Item key of the tie.
        staple_item: Item key of the staple.
        sleeve_item: Item key of the sleeve of one line wire in a join.
    """

    item: str
    gap_below_m: Metre
    line_wire_heights_m: tuple[Metre, ...]
    picket_spacing_m: Metre
    line_wire: Wire
    strain_per_wire_n: Newton
    knot: Knot
    lean_limit_deg: Degree
    crimp_amplitude_m: Metre
    crimp_wave_m: Metre
    tail_m: Metre
    ties_per_steel_post: int
    staples_per_timber_post: int
    tie_item: str
    staple_item: str
    sleeve_item: str

    @property
    def line_wires(self) -> int:
        """Number of line wires."""
        return len(self.line_wire_heights_m)

    @property
    def height_m(self) -> Metre:
        """Bottom line wire to top line wire. [m]"""
        return self.line_wire_heights_m[-1]

    @property
    def pull_n(self) -> Newton:
        """Pull of the strained mesh on its end. [N]"""
        return self.line_wires * self.strain_per_wire_n

    @property
    def pull_height_m(self) -> Metre:
        """Height above the ground at which that pull acts. [m]"""
        return self.gap_below_m + sum(self.line_wire_heights_m) / self.line_wires


@dataclass(frozen=True, slots=True)
class Netting:
    """Netting or an apron that hangs on other wires and is not strained by itself.

    Attributes:
        item: Item key of the roll; its stock lengths are the roll lengths.
        name: What the crew calls it, such as ``apron``.
        width_m: Width of the roll. [m]
        rings_per_m: Rings that fix it, per metre of fence. [1/m]
        ring_item: Item key of the ring.
        tail_m: Netting used up at each end of a section. [m]
    """

    item: str
    name: str
    width_m: Metre
    rings_per_m: float
    ring_item: str
    tail_m: Metre
