"""Fence types, items, posts and sections made by hand, so that tests depend on no shipped file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import accumulate

from planner.sections.posts import Post, PostKind
from planner.sections.strains import Cause, Section, SectionEnd
from planner.spec.end_assemblies import EndAssembly, EndRules
from planner.spec.fence_type import FenceType, LabourRates
from planner.spec.ground_classes import GroundClass
from planner.spec.items import Item
from planner.spec.meshes import Mesh
from planner.spec.posts import PostRules
from planner.spec.wires import Strand, StrandKind, Wire
from planner.units import KGF_N

HARD_WIRE = Wire(0.0025, breaking_n=6650.0)
ITEMS = {
    "hard-wire": Item("hard-wire", "plain wire 2.5 mm, high tensile", "m", wire=HARD_WIRE),
    "barb": Item("barb", "barbed wire, two of 1.57 mm", "m", wire=Wire(0.00157, filaments=2, breaking_n=4000.0)),
    "soft-wire": Item("soft-wire", "plain wire 4 mm, mild", "m", wire=Wire(0.004)),
    "poly": Item("poly", "poly wire", "m"),
}
GROUNDS = {
    "soil": GroundClass("soil", "soil", "driven", 900 * KGF_N, 1.0, 1.0),
    "stony": GroundClass("stony", "stony soil", "dug", 90 * KGF_N, 1.4, 1.3),
}
ASSEMBLIES = {
    "single-box": EndAssembly("single-box", "single box end", "box", 1, 1.1, 2.4, (), (), 1.0),
    "double-box": EndAssembly("double-box", "double box end", "box", 2, 1.1, 2.4, (), (), 1.0),
    "stay": EndAssembly("stay", "stayed end", "diagonal", 1, 0.9, 3.0, (), (), 1.0),
    "post": EndAssembly("post", "strainer alone", "post", 0, 0.0, 0.0, (), (), 0.9),
}
_POSTS = PostRules(5.0, 4.0, ("steel-post",), "steel-post", "steel-post", "timber-post", 0.5, 0.3, 0.1, 0, "",
                   side_light_n=1000.0, side_heavy_n=2500.0)


def strand_of(height_m: float, strain_n: float, *, item: str = "hard-wire", kind: StrandKind = "plain",
              name: str = "") -> Strand:
    """A strand of a height and a strain."""
    return Strand(name or f"wire at {height_m:g}", height_m, kind, item, strain_n, "every-post", "", 1.2)


def mesh_of(gaps_mm: Sequence[float] = (102, 102, 114, 127, 140, 152, 165), *, strain_n: float = 110 * KGF_N,
            picket_m: float = 0.3, amplitude_m: float = 0.003) -> Mesh:
    """A mesh by its gaps, bottom to top; 8/90/30 with a crimp of 3 mm on 40 mm unless said."""
    heights = tuple(h / 1000.0 for h in accumulate(gaps_mm, initial=0.0))
    return Mesh("mesh", 0.05, heights, picket_m, HARD_WIRE, strain_n, "hinged", 8.0, amplitude_m, 0.040, 0.5, 4, 4,
                "tie", "staple", "sleeve")


def fence_of(*strands: Strand, mesh: Mesh | None = None, **changes: object) -> FenceType:
    """A fence of some strands and perhaps a mesh."""
    fence = FenceType("test-fence", "test fence", "tests", "1.0", strands, mesh, (), _POSTS,
                      EndRules("single-box", "double-box", "single-box", 8000.0), 500.0, 250.0,
                      LabourRates(*[0.0] * 15), (), ())
    return replace(fence, **changes)  # type: ignore[arg-type]


def plain_fence(wires: int, strain_n: float) -> FenceType:
    """Plain wires 150 mm apart, all of one strain."""
    return fence_of(*(strand_of(0.15 * (i + 1), strain_n) for i in range(wires)))


def post_of(kind: PostKind, chainage_m: float, *, before_deg: float = 0.0, after_deg: float = 0.0,
            turn_deg: float = 0.0, ground: str = "soil", section: str = "A1") -> Post:
    """A post where the wires turn."""
    return Post(section, kind, "steel-post-1800", chainage_m, turn_deg, after_deg - before_deg, before_deg, after_deg,
                1.8, ground)


def section_of(name: str, from_m: float, to_m: float, *, assembly: str = "single-box",
               causes: tuple[Cause, ...] = ("line end",), is_gate: bool = False) -> Section:
    """A section with the same assembly at both ends."""
    start = SectionEnd(from_m, causes, assembly, 1, 0.0, 0.0)
    end = SectionEnd(to_m, causes, assembly, 1, 0.0, 0.0)
    return Section(name, from_m, to_m, start, end, to_m - from_m, to_m - from_m, 0.1, 0.0, 0.0, is_gate=is_gate)
