"""What every sheet is made from: the plan, the choices for the sheets, and words that several sheets share."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from planner import __version__
from planner.job.plan import JobPlan, LinePlan
from planner.job.roll_joins import SectionJoin, section_joins
from planner.jobpack.page.form import SheetChoice
from planner.jobpack.page.furniture import JobFacts, day_text
from planner.jobpack.page.measures import NO_BREAK, Measures
from planner.sections.strains import Section, SectionEnd
from planner.survey.datum import grid_name

_FOLDERS = re.compile(r"(?:[A-Za-z]:)?(?:[\\/][^\\/:*?\"<>|\n]+)*[\\/](?=[^\\/\s]+\.\w)")
_UNITS = re.compile(r"(\d) (?=(?:m|mm|kN|kg|kgf|ha|J|kV|ft|in|lbf|lb|ac)\b)")
_DEGREES = re.compile(r"(\d) deg\b")


@dataclass(frozen=True, eq=False)
class Basis:
    """What every sheet is made from.

    Attributes:
        plan: The plan.
        choice: Units, paper and date.
        joins: Section id to its joins, mid-run and roll joins together.
    """

    plan: JobPlan
    choice: SheetChoice
    joins: Mapping[str, tuple[SectionJoin, ...]] = field(default_factory=dict)

    @property
    def measures(self) -> Measures:
        """How values are written."""
        return self.choice.measures

    @property
    def facts(self) -> JobFacts:
        """What the head of every sheet says."""
        return JobFacts(self.plan.job.name, grid_text(self.plan.job.crs), self.choice.dated,
                        accuracy_text(self.plan.lines, self.measures), f"Strainwright {__version__}",
                        standing_text(self.plan))

    @cached_property
    def _described(self) -> re.Pattern[str]:
        words = sorted((item.description for item in self.plan.catalogue.items.values()), key=len, reverse=True)
        return re.compile("(" + "|".join(map(re.escape, words)) + ")") if words else re.compile("(?!)")

    def said(self, sentence: str) -> str:
        """A sentence of the planning steps as sheets print it: in the units chosen, without folders of this machine.

        What items are called is left as the store knows it.

        Args:
            sentence: The sentence.
        """
        parts = self._described.split(without_folders(sentence))
        told = "".join(part if k % 2 else self.measures.sentence(part) for k, part in enumerate(parts))
        return _UNITS.sub(r"\1" + NO_BREAK, _DEGREES.sub(r"\1°", told))


def basis_of(plan: JobPlan, choice: SheetChoice | None = None) -> Basis:
    """The basis of a plan's sheets.

    Args:
        plan: The plan.
        choice: Units, paper and date; metric on A4 and today when None.
    """
    return Basis(plan, choice or SheetChoice(), section_joins(plan.lines, plan.roll_plans))


def standing_text(plan: JobPlan) -> str:
    """Whether a job is issued for build on the day of its plan, as the head of every sheet says it.

    Args:
        plan: The plan.
    """
    if not plan.lines:
        return ""
    if plan.issued is None or plan.issued.settled is None:
        return "NOT ISSUED FOR BUILD"
    by = f", {plan.issued.reference}" if plan.issued.reference else ""
    return f"Issued for build {day_text(plan.issued.settled)}{by}"


def grid_text(crs: str) -> str:
    """Datum and grid as sheets name them.

    Args:
        crs: Working grid of the job.
    """
    name = grid_name(crs)
    return f"{name} ({crs})" if len(crs) <= 12 else name


def accuracy_text(lines: Sequence[LinePlan], measures: Measures) -> str:
    """Accuracy classes of some lines, best first, with the standard deviation of a corner: of the worst known line.

    Args:
        lines: Plans of the lines.
        measures: How values are written.
    """
    worst: dict[str, float] = {}
    for line in lines:
        worst[line.line.accuracy] = max(line.corner_sd_m, worst.get(line.line.accuracy, 0.0))
    classes = sorted((sd, name) for name, sd in worst.items())
    if not classes:
        return "no lines"
    words = ", ".join(f"{name} {measures.plus_minus(sd, 2)}\u00a0{measures.length_unit}" for sd, name in classes)
    return f"corner accuracy: {words}"


def end_text(basis: Basis, end: SectionEnd) -> str:
    """One end of a section in words: what it is and why it is there.

    Args:
        basis: Basis of the sheets.
        end: The end.
    """
    assembly = basis.plan.catalogue.assemblies.get(end.assembly)
    what = assembly.description if assembly else end.assembly
    why = " and ".join(end.causes)
    further = f", pulled {end.directions} ways" if end.directions > 1 else ""
    return f"{what} ({why}{further})"


def kind_of(section: Section) -> str:
    """gate, crossing or strain.

    Args:
        section: A section.
    """
    return "gate" if section.is_gate else "crossing" if section.is_crossing else "strain"


def without_folders(text: str) -> str:
    """A text with the folders of file paths left out: a sheet goes to people who do not have them.

    Args:
        text: The text.

    Example:
        >>> without_folders("/home/me/maps/boundary.shp, row 1")
        'boundary.shp, row 1'
    """
    return _FOLDERS.sub("", text)


def strained(line: LinePlan) -> list[Section]:
    """The sections of a line that carry strained wires, in order.

    Args:
        line: Its plan.
    """
    return [section for section in line.sections if section.id in line.joins]
