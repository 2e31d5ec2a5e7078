"""The order in which the wires of a fence are strained, as crews commonly do it; theirs to change."""

from __future__ import annotations

from dataclasses import dataclass

from planner.spec.fence_type import FenceType
from planner.spec.meshes import Mesh
from planner.spec.wires import Strand
from planner.units import Metre, Newton

ORDER_SOURCE = "Order: common practice, no source; a crew with another order renumbers it."


@dataclass(frozen=True, slots=True)
class WireStep:
    """One turn of straining.

    Attributes:
        number: Its place in the order, from 1.
        name: What is strained.
        wires: Height above the ground [m] and short name of each wire strained in this turn.
        tension_n: Tension of each of these wires. [N]
        count: Number of wires.
        note: What to mind.
        what: mesh, or the kind of the strand.
        item: Item key of it.
    """

    number: int
    name: str
    wires: tuple[tuple[Metre, str], ...]
    tension_n: Newton
    count: int
    note: str
    what: str
    item: str


def straining_order(fence: FenceType) -> tuple[WireStep, ...]:
    """The wires of a fence in the order of straining.

    Wires that carry or lie behind the mesh come first, then the mesh, top and bottom together, then the wires above it
    from the bottom up. Without mesh: the bottom wire, which guides the posts, the top wire, and the others from the
    middle outwards. The end moves as load comes on, so the first is always checked again.

    Args:
        fence: Fence type.

    Source:
        Common practice, no source.
    """
    strands = [s for s in fence.strands if s.strain_n > 0.0]
    if fence.mesh is None:
        ordered = [*strands[:1], *(strands[-1:] if len(strands) > 1 else []), *_middle_out(strands[1:-1])]
        return tuple(_step(s, k + 1, _note(s, k, strands)) for k, s in enumerate(ordered))
    top = fence.mesh.gap_below_m + fence.mesh.height_m
    behind = [s for s in strands if s.height_m <= top + 1e-6]
    above = [s for s in strands if s.height_m > top + 1e-6]
    first = len(behind) + 1
    return (*(_step(s, k + 1, "carries the mesh" if k else "guide wire")
              for k, s in enumerate(behind)),
            _mesh_step(fence.mesh, first, "top and bottom together"),
            *(_step(s, first + 1 + k, "") for k, s in enumerate(above)))


def _middle_out(strands: list[Strand]) -> list[Strand]:
    middle = (len(strands) - 1) / 2
    return [s for _, s in sorted(enumerate(strands), key=lambda ks: (abs(ks[0] - middle), ks[0]))]


def _note(strand: Strand, place: int, strands: list[Strand]) -> str:
    if place == 0:
        return "guide wire"
    return "top wire" if strand is strands[-1] else ""


def _step(strand: Strand, number: int, note: str) -> WireStep:
    return WireStep(number, strand.name, ((strand.height_m, strand.name),), strand.strain_n, 1, note, strand.kind,
                    strand.item)


def _mesh_step(mesh: Mesh, number: int, note: str) -> WireStep:
    wires = tuple((mesh.gap_below_m + h, "mesh" if 0 < k < mesh.line_wires - 1 else
                   "mesh, bottom" if k == 0 else "mesh, top") for k, h in enumerate(mesh.line_wire_heights_m))
    return WireStep(number, "mesh", wires, mesh.strain_per_wire_n, mesh.line_wires, note, "mesh", mesh.item)
