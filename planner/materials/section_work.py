"""What has to be built in one section, gathered from all steps before, for counting."""

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
        drop_m: Height of a crossing's cable above the bed: depth and height of the fence. [m] None where the depth is
            not known.
        kept: Places in ``posts`` of those that stand already, as posts of an old fence.
        removed_m: Old fence that is taken out along it. [m]
        removal_h_per_m: Person-hours that a metre of that takes. [h/m]
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
    drop_m: Metre | None = None
    kept: frozenset[int] = frozenset()
    removed_m: Metre = 0.0
    removal_h_per_m: float = 0.0
