"""Catalogue, fences and sections made by hand, so that the materials room is tested without any shipped fence type."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any

from planner.loads.turns_and_uplift import HoldDown, PostLoad
from planner.materials.section_work import SectionWork
from planner.sections.joins import JoinPlan, MidRunJoin, SubRun
from planner.sections.posts import Post, PostKind
from planner.sections.strains import Section, SectionEnd
from planner.spec.catalogue import Catalogue
from planner.spec.end_assemblies import EndAssembly, EndRules
from planner.spec.fence_type import FenceType, LabourRates
from planner.spec.ground_classes import GroundClass
from planner.spec.items import Item
from planner.spec.meshes import Mesh, Netting
from planner.spec.posts import PostRules
from planner.spec.wires import Strand, Wire

ITEMS = {item.key: item for item in (
    Item("mesh", "Mesh 8/90/30", "m", mass_kg=0.424, stock_m=(200.0,)),
    Item("netting", "Netting 300 mm", "m", stock_m=(100.0, 50.0)),
    Item("plain", "Plain wire 2.5 mm", "m", mass_kg=0.0385, stock_m=(1500.0,)),
    Item("barb", "Barbed wire", "m", mass_kg=0.09, stock_m=(500.0,)),
    Item("rail", "Rail 4.8 m", "m", pack=4.8, mass_kg=4.9),
    Item("steel", "Steel star post 1.65 m", "each", pack=10, mass_kg=3.4),
    Item("timber", "Timber post 1.8 m", "each", mass_kg=9.2, timber=True),
    Item("dropper", "Dropper 1.0 m", "each", pack=50, mass_kg=0.5),
    Item("strainer", "Strainer 2.4 m", "each", mass_kg=49.0, timber=True),
    Item("brace-post", "Brace post 2.4 m", "each", mass_kg=27.6, timber=True),
    Item("stay-rail", "Box rail 2.4 m", "each", mass_kg=12.3),
    Item("brace-wire", "Soft wire 4.0 mm", "m", pack=50, mass_kg=0.0987),
    Item("tie", "Tie", "each", pack=100, mass_kg=0.012),
    Item("staple", "Staples 40 mm", "kg", pack=5, mass_kg=1.0, pieces_per_unit=140),
    Item("clip", "Dropper clip", "each", pack=100, mass_kg=0.005),
    Item("sleeve", "Crimp sleeve", "each", pack=100, mass_kg=0.015),
    Item("insulator", "Strain insulator", "each", pack=10, mass_kg=0.08),
    Item("ring", "Ring", "each", pack=1600, mass_kg=0.0015),
    Item("gate-3600", "Gate 3.6 m", "each", mass_kg=34.0),
    Item("footing-plate", "Footing plate", "each", mass_kg=2.5),
    Item("anchor-post", "Anchor post", "each", mass_kg=3.4),
    Item("buried-log", "Log or stone", "each", mass_kg=30.0),
    Item("steel-cable-6mm", "Steel cable 6 mm", "m", mass_kg=0.13, stock_m=(100.0,)),
    Item("cable-grip", "Cable grip", "each", mass_kg=0.06),
    Item("shackle", "Shackle", "each", mass_kg=0.15),
    Item("floodgate-dropper", "Floodgate dropper", "each", mass_kg=5.0),
    Item("floodgate-netting", "Floodgate netting", "m", stock_m=(50.0,)),
    Item("netting-ring", "Netting ring", "each", pack=1600, mass_kg=0.0015),
)}
ASSEMBLIES = {
    "box": EndAssembly("box", "Box end", "box", 1, 1.05, 2.4,
                       (("strainer", 1.0), ("brace-post", 1.0), ("stay-rail", 1.0), ("brace-wire", 12.0)),
                       (("brace-post", 1.0), ("stay-rail", 1.0), ("brace-wire", 12.0)), 1.2),
}
GROUNDS = {
    "soil": GroundClass("soil", "soil", "driven", 8826.0, 1.0, 1.0),
    "ledge": GroundClass("ledge", "ledge rock", "drilled", 8826.0, 3.0, 2.5),
}
CATALOGUE = Catalogue({}, ITEMS, ASSEMBLIES, GROUNDS)
MESH = Mesh("mesh", 0.03, (0.0, 0.102, 0.204, 0.318, 0.445, 0.585, 0.737, 0.902), 0.3, Wire(0.0025), 1078.7, "hinged",
            8.0, 0.003, 0.040, 0.3, 3, 4, "tie", "staple", "sleeve")
BARB = Strand("top barb", 1.15, "barbed", "barb", 1200.0, "every-post", "tie", 1.5, timber_tie_item="staple")
PLAIN = Strand("plain wire", 1.0, "plain", "plain", 1500.0, "every-post", "tie", 1.5, timber_tie_item="staple",
               join_item="sleeve")
APRON = Netting("netting", "apron", 0.3, 8.0, "ring", 0.3)
RATES = LabourRates(
    set_out_per_m=0.009, end=3.5, end_further=2.5, steel_post=0.075, timber_post=0.15, strand_per_m=0.005,
    mesh_per_m=0.018, netting_per_m=0.05, fixing_per_post=0.08, mid_run_join=2.0, roll_join=0.5, tie_off=1.25,
    gate=3.0, crossing=16.0, hold_down=0.75)
POSTS = PostRules(5.0, 4.0, ("steel", "steel", "steel", "steel", "timber"), "steel", "steel", "timber", 0.6, 0.3, 0.05,
                  0, "", 500.0, 3000.0)


def fence_of(*strands: Strand, mesh: Mesh | None = None, nettings: tuple[Netting, ...] = (), **posts: Any) -> FenceType:
    """A fence of some strands, perhaps with a mesh; further arguments change its post rules."""
    return FenceType("test-fence", "test fence", "tests", "1.0", strands, mesh, nettings, replace(POSTS, **posts),
                     EndRules("box", "box", "box", 12_000.0), 400.0, 250.0, RATES, (), ())


def end_of(chainage_m: float = 0.0, *, directions: int = 1) -> SectionEnd:
    """An end with a box assembly."""
    return SectionEnd(chainage_m, ("line end",), "box", directions, 0.0, 0.0)


def post_of(section: str, chainage_m: float, *, kind: PostKind = "line", item: str = "steel",
            ground: str = "soil") -> Post:
    """A post."""
    return Post(section, kind, item, chainage_m, 0.0, 0.0, 0.0, 0.0, 1.8, ground)


def section_of(name: str, from_m: float, length_m: float, *, plan_m: float | None = None, sd_m: float = 0.0,
               is_gate: bool = False, is_crossing: bool = False) -> Section:
    """A section by its slope length; its plan length is the same unless said."""
    plan = length_m if plan_m is None else plan_m
    return Section(name, from_m, from_m + plan, end_of(from_m), end_of(from_m + plan), plan, length_m, sd_m, 0.0, 0.0,
                   is_crossing, is_gate)


def run_of(from_m: float, to_m: float, length_m: float) -> SubRun:
    """A sub-run."""
    return SubRun(from_m, to_m, length_m, 0.0, 0.0, 1.0, 0.3, 400.0, 0.0)


def work_of(
    name: str, length_m: float, fence: FenceType, *, from_m: float = 0.0, plan_m: float | None = None,
    sd_m: float = 0.0, cuts: Sequence[float] = (), steel: int = 0, timber: int = 0, ground: str = "soil", ends: int = 0,
    directions: int = 1, hold_downs: Sequence[HoldDown] = (), line: str = "creek",
) -> SectionWork:
    """A section with wires: ``cuts`` are chainages of mid-run joins, posts are spread evenly, timber ones last."""
    section = section_of(name, from_m, length_m, plan_m=plan_m, sd_m=sd_m)
    stretch = length_m / section.plan_length_m
    stops = [section.from_m, *cuts, section.to_m]
    runs = tuple(run_of(a, b, (b - a) * stretch) for a, b in pairwise(stops))
    joins = tuple(MidRunJoin(at, ("test",), 0.0) for at in cuts)
    number = steel + timber
    step = section.plan_length_m / (number + 1)
    posts = tuple(post_of(name, section.from_m + step * (k + 1), item="steel" if k < steel else "timber", ground=ground)
                  for k in range(number))
    rungs = [*hold_downs, *["none"] * (number - len(hold_downs))]
    loads = tuple(PostLoad(0.0, 0.0, rung) for rung in rungs)  # type: ignore[arg-type]
    return SectionWork(line, fence, section, posts, loads, JoinPlan(runs, joins),
                       tuple((end_of(directions=directions), ground) for _ in range(ends)), "", fence.height_m)


def gate_of(name: str, fence: FenceType, *, from_m: float = 0.0, line: str = "creek") -> SectionWork:
    """A gate opening of 3.6 m."""
    return SectionWork(line, fence, section_of(name, from_m, 3.6, is_gate=True), (), (), JoinPlan((), ()), (),
                       "gate-3600", fence.height_m)


def crossing_of(name: str, span_m: float, fence: FenceType, *, from_m: float = 0.0, line: str = "creek") -> SectionWork:
    """A crossing with its own two anchors."""
    return SectionWork(line, fence, section_of(name, from_m, span_m, is_crossing=True), (), (), JoinPlan((), ()),
                       ((end_of(from_m), "soil"), (end_of(from_m + span_m), "soil")), "", fence.height_m)
