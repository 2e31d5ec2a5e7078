"""The job: a tree of frozen records that holds only what was measured or decided."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from planner.job.quote_terms import QuoteTerms
from planner.job.unread import Unread
from planner.materials.prices import PriceList
from planner.settings import Settings
from planner.upkeep.records import Records

if TYPE_CHECKING:
    from planner.alignment.line import FenceLine
    from planner.findings import Finding
    from planner.job.options import Option
    from planner.job.stages import Stage
    from planner.surroundings.clearances import Clearance
    from planner.survey.features import Feature
    from planner.survey.fixes import MeasuredPoint
    from planner.survey.ground import RecordedLevels


@dataclass(frozen=True, slots=True)
class Waiver:
    """A finding set aside, with the reason.

    Attributes:
        rule: Rule id.
        line: Line it was found on; empty for the whole job.
        where: Section id or rounded chainage as text, so that it meets the same finding again.
        reason: Why it was set aside.
    """

    rule: str
    line: str
    where: str
    reason: str


@dataclass(frozen=True)
class Job:
    """One job.

    Attributes:
        name: Name on the sheets.
        crs: Working grid, as an authority code such as ``EPSG:7855`` or as WKT.
        lines: Fence lines, names unique.
        levels: Line name to the profile recorded along it; a line without one is planned as flat, and said so.
        features: Other things on the ground.
        points: Surveyed points, in the working grid.
        settings: Settings.
        own_fences: The job's own fence types, key to TOML text; they stand before the shipped ones.
        own_items: The job's own items as TOML text; empty when none.
        prices: Price list.
        waivers: Findings set aside.
        notes: What a person, or the import, wrote down.
        grounds: Terrain and point files that levels were taken from, best first, as full paths; the job can be planned
            without them, but a line that moves needs them to know its new ground.
        made_at: ISO time at which the job was made.
        terms: What its quote says besides quantities and prices.
        options: Alternative lines or fences, of which one will be built.
        option: Name of the option that is chosen; the first stands where none is.
        stages: Which lines are built when, in the order of building.
        clearances: What people have settled, or not, before the first post.
        records: What was written down once the work began.
        noticed: What wants a look in files that were read, until it is set aside.
        unread: What its file holds that this version does not know; written back with it.
    """

    name: str
    crs: str
    lines: tuple[FenceLine, ...] = ()
    levels: Mapping[str, RecordedLevels] = field(default_factory=dict)
    features: tuple[Feature, ...] = ()
    points: tuple[MeasuredPoint, ...] = ()
    settings: Settings = field(default_factory=Settings)
    own_fences: Mapping[str, str] = field(default_factory=dict)
    own_items: str = ""
    prices: PriceList = field(default_factory=PriceList)
    waivers: tuple[Waiver, ...] = ()
    notes: tuple[str, ...] = ()
    made_at: str = ""
    grounds: tuple[str, ...] = ()
    terms: QuoteTerms = field(default_factory=QuoteTerms)
    options: tuple[Option, ...] = ()
    option: str = ""
    stages: tuple[Stage, ...] = ()
    clearances: tuple[Clearance, ...] = ()
    records: Records = field(default_factory=Records)
    noticed: tuple[Finding, ...] = ()
    unread: Unread = field(default_factory=Unread)
