"""The pages of ``job-pack.pdf`` and ``straining-sheet.pdf``: which documents, in which order."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from planner.jobpack.basis import Basis
from planner.jobpack.before_sheet import before_pages
from planner.jobpack.cover import cover_pages
from planner.jobpack.electric_sheet import electric_pages
from planner.jobpack.findings_sheet import findings_pages
from planner.jobpack.gate_schedule import gate_schedule_pages
from planner.jobpack.grant_sheet import grant_pages
from planner.jobpack.load_sheet import load_pages
from planner.jobpack.long_section import long_section_pages
from planner.jobpack.materials_sheet import materials_pages
from planner.jobpack.neighbour_sheet import neighbour_pages
from planner.jobpack.options_sheet import options_pages
from planner.jobpack.paddock_sheet import paddock_pages
from planner.jobpack.page.flow import Flow
from planner.jobpack.page.form import Form
from planner.jobpack.page.furniture import finished
from planner.jobpack.page.records import Page
from planner.jobpack.plan_sheets import plan_pages
from planner.jobpack.records_sheet import records_pages
from planner.jobpack.roll_sheet import roll_pages
from planner.jobpack.section_schedule import section_schedule_pages
from planner.jobpack.setout_sheet import setout_pages
from planner.jobpack.straining_sheet import straining_pages
from planner.progress import Progress, Unwatched


@dataclass(frozen=True, slots=True)
class Sheet:
    """One document of the job pack.

    Attributes:
        key: Short name.
        title: What the cover calls it.
        reader: Whom it is for.
        pages: Makes its pages; none where there is nothing to show.
    """

    key: str
    title: str
    reader: str
    pages: Callable[[Basis], tuple[Page, ...]]


SHEETS: tuple[Sheet, ...] = (
    Sheet("plan", "Plan", "everyone", plan_pages),
    Sheet("long-section", "Long sections", "the crew", long_section_pages),
    Sheet("sections", "Section schedule", "the crew and the office", section_schedule_pages),
    Sheet("straining", "Straining sheets", "the crew", straining_pages),
    Sheet("set-out", "Set-out", "whoever pegs the line", setout_pages),
    Sheet("gates", "Gate and crossing schedule", "everyone", gate_schedule_pages),
    Sheet("materials", "Materials and hours", "the rural store", materials_pages),
    Sheet("rolls", "Roll and coil cutting plan", "the crew and the rural store", roll_pages),
    Sheet("loads", "Load list", "the driver", load_pages),
    Sheet("findings", "To look at", "the planner", findings_pages),
    Sheet("before", "Before the first post", "whoever answers for the job", before_pages),
)
"""The documents after the cover, in order."""
FOR_SOME: tuple[Sheet, ...] = (
    Sheet("neighbour", "Neighbour sheet", "the neighbour", neighbour_pages),
    Sheet("grant", "Grant sheet", "the funder", grant_pages),
    Sheet("paddocks", "Paddocks", "the farmer", paddock_pages),
    Sheet("electric", "Electric", "whoever fits the energiser", electric_pages),
    Sheet("records", "Work and upkeep", "whoever pays, whoever owns", records_pages),
    Sheet("options", "Options and stages", "whoever decides", options_pages),
)
"""Documents that follow where the job has what they are about: a boundary, water, paddocks, live wires, records of the
work, options or stages."""


def job_pack_pages(basis: Basis, progress: Progress = Unwatched()) -> tuple[Page, ...]:
    """Every sheet of the job pack, numbered through, the cover first.

    Args:
        basis: Basis of the sheets.
        progress: Told of each document.

    Raises:
        Cancelled: The user asked to stop.
    """
    made: list[tuple[Sheet, tuple[Page, ...]]] = []
    wanted = (*SHEETS, *FOR_SOME)
    for number, sheet in enumerate(wanted):
        progress.stop_if_cancelled()
        progress.report(number / len(wanted), sheet.title)
        made.append((sheet, sheet.pages(basis)))
    made = [(sheet, pages) for sheet, pages in made if pages]
    cover = cover_pages(basis, [(sheet.title, 0) for sheet, _ in made])
    starts, page = [], len(cover) + 1
    for sheet, pages in made:
        starts.append((sheet.title, page))
        page += len(pages)
    cover = cover_pages(basis, starts)
    return finished((*cover, *(page for _, pages in made for page in pages)), basis.facts)


def straining_sheet_pages(basis: Basis) -> tuple[Page, ...]:
    """The straining sheets alone, numbered through; one page that says so where no section carries a strained wire.

    Args:
        basis: Basis of the sheets.
    """
    pages = straining_pages(basis)
    if not pages:
        flow = Flow(Form("A4"), "Straining sheets")
        flow.text("No section of this job carries a strained wire, so there is nothing to strain.", size_pt=11.0)
        pages = flow.pages()
    return finished(pages, basis.facts)
