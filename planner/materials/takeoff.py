"""Takeoff: what each section is made of, counted by the fence type's rules."""

from __future__ import annotations

from dataclasses import dataclass

from planner.loads.turns_and_uplift import PostLoad
from planner.sections.joins import JoinPlan
from planner.sections.posts import Post
from planner.sections.strains import Section, SectionEnd
from planner.spec.fence_type import FenceType
from planner.units import Metre


@dataclass(frozen=True, slots=True)
class SectionWork:
    """All that has to be built in one section, gathered for counting. Shared ends are charged once.

    Attributes:
        line: Name of the fence line.
        fence: Its fence type.
        section: The section; gate openings and crossings are sections too.
        posts: Posts that stand in it, a shared end only in the later section.
        loads: Their loads, one for each post.
        joins: Its sub-runs and mid-run joins; no sub-runs for gates and crossings.
        assemblies: End assemblies charged to it, each with the ground class it stands in.
        gate_item: Item key of the gate, for a gate opening.
        height_m: Height of the fence. [m]
    """

    line: str
    fence: FenceType
    section: Section
    posts: tuple[Post, ...]
    loads: tuple[PostLoad, ...]
    joins: JoinPlan
    assemblies: tuple[tuple[SectionEnd, str], ...]
    gate_item: str
    height_m: Metre


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
