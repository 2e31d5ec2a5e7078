"""The plan: everything derived from a job. Never saved as truth, always computed again from what was decided."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from planner.alignment.corners import Corner
from planner.alignment.junctions import Junction
from planner.alignment.line import FenceLine, GroundStretch
from planner.findings import Finding
from planner.job.job import Job
from planner.loads.take_up import Pull
from planner.loads.turns_and_uplift import PostLoad
from planner.materials.carting import Carting
from planner.materials.estimate import Estimate
from planner.materials.labour import LabourRow
from planner.materials.roll_plan import RollDemand, RollPlan
from planner.materials.section_work import SectionWork
from planner.materials.takeoff import TakeoffRow
from planner.profile.grade_breaks import GradeChain
from planner.profile.ground_line import GroundLine
from planner.sections.joins import JoinPlan
from planner.sections.posts import Post
from planner.sections.strains import Section
from planner.setout.pegs import Peg
from planner.setout.sight_pegs import SightPlan
from planner.settings import Settings
from planner.spec.catalogue import Catalogue
from planner.spec.fence_type import FenceType
from planner.surroundings.before_start import Item
from planner.surroundings.clearances import Clearance
from planner.surroundings.electric import Circuit
from planner.surroundings.network import Node
from planner.surroundings.old_fences import OldStretch
from planner.surroundings.paddocks import Paddock
from planner.surroundings.situation import Around
from planner.survey.features import Feature
from planner.survey.ground import RecordedLevels
from planner.units import Metre


@dataclass(frozen=True)
class LineInputs:
    """All that one line's plan depends on; the same inputs give the same plan.

    Lines and recorded levels are compared by identity, the rest by value.

    Attributes:
        line: The line.
        code: Its letters.
        fence: Its fence type.
        levels: Levels recorded along it; None when there are none.
        junctions: Where other lines meet it.
        settings: Settings.
        crs: Working grid.
        areas: Areas of ground that it runs through.
        old: Old fences along it that it stands on, or that are taken out.
    """

    line: FenceLine
    code: str
    fence: FenceType
    levels: RecordedLevels | None
    junctions: tuple[Junction, ...]
    settings: Settings
    crs: str
    areas: tuple[Feature, ...] = ()
    old: tuple[OldStretch, ...] = ()


@dataclass(frozen=True, eq=False)
class LinePlan:
    """Everything derived from one fence line.

    Attributes:
        inputs: What it was computed from.
        line: The line.
        code: Its letter or letters, the start of every section id and peg name on it.
        fence: Its fence type.
        corner_sd_m: Standard deviation of its corners, root mean square where they differ. [m]
        ground: The ground under it.
        chain: Its straight grades.
        corners: Role of each of its corners.
        sections: Strainer to strainer, tiling the line.
        posts: Posts in order of chainage.
        post_names: Name of each post, unique in the job, at most 10 characters.
        loads: Loads of each post. Advisory.
        joins: Section id to its sub-runs and mid-run joins; gate openings and crossings have none.
        pulls: Section id to how it is pulled; the same sections as ``joins``.
        sight: Pegs to add so that each can be seen from the last.
        pegs: Set-out points.
        works: What has to be built in each section.
        findings: What is worth a look.
        stretches: Ground classes along it as typed and as areas give them; where two meet the later one holds.
    """

    inputs: LineInputs
    line: FenceLine
    code: str
    fence: FenceType
    corner_sd_m: Metre
    ground: GroundLine
    chain: GradeChain
    corners: tuple[Corner, ...]
    sections: tuple[Section, ...]
    posts: tuple[Post, ...]
    post_names: tuple[str, ...]
    loads: tuple[PostLoad, ...]
    joins: Mapping[str, JoinPlan]
    pulls: Mapping[str, Pull]
    sight: SightPlan
    pegs: tuple[Peg, ...]
    works: tuple[SectionWork, ...]
    findings: tuple[Finding, ...]
    stretches: tuple[GroundStretch, ...] = ()


@dataclass(frozen=True)
class RollInputs:
    """All that one item's roll plan depends on.

    Attributes:
        demands: Lengths to cover.
        stock: Roll length and its cost. [m]
        settings: Settings.
    """

    demands: tuple[RollDemand, ...]
    stock: tuple[tuple[Metre, float], ...]
    settings: Settings


@dataclass(frozen=True, eq=False)
class JobPlan:
    """Everything derived from a job.

    Attributes:
        job: The job.
        catalogue: What its lines were planned from.
        lines: One plan a fence line, in the job's order.
        materials: The materials list of the whole job.
        roll_plans: Item key to its roll and coil plan.
        labour: Person-hours by component.
        estimate: Cost.
        carting: Loads and drop points.
        findings: Every finding, worst first, waived ones last.
        roll_inputs: Item key to what its roll plan was computed from.
        around: What is on the ground around the lines, ready to be asked.
        before_start: What people have to settle before the first post, and how it stands.
        issued: By what the job counts as issued for build on the day of the plan; None while it is not.
        electric: Circuits of its live fences. Advisory.
        paddocks: Land that its fences enclose, largest first.
        nodes: Places where strains end and lines meet. Advisory.
        planned_on: Day on which prices, permits and ages were judged.
    """

    job: Job
    catalogue: Catalogue
    lines: tuple[LinePlan, ...]
    materials: tuple[TakeoffRow, ...]
    roll_plans: Mapping[str, RollPlan]
    labour: tuple[LabourRow, ...]
    estimate: Estimate
    carting: Carting
    findings: tuple[Finding, ...]
    roll_inputs: Mapping[str, RollInputs] = field(default_factory=dict)
    around: Around = field(default_factory=lambda: Around(()))
    before_start: tuple[Item, ...] = ()
    issued: Clearance | None = None
    electric: tuple[Circuit, ...] = ()
    paddocks: tuple[Paddock, ...] = ()
    nodes: tuple[Node, ...] = ()
    planned_on: date | None = None
