"""The documents that are handed over one by one: which file each is, for whom, and of which pages."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from planner.job.plan import JobPlan
from planner.jobpack.basis import Basis
from planner.jobpack.grant_sheet import BESIDE_M, grant_pages, has_grant
from planner.jobpack.neighbour_sheet import has_neighbour, neighbour_pages
from planner.jobpack.options_sheet import has_options, options_pages
from planner.jobpack.output import always
from planner.jobpack.page.flow import Flow
from planner.jobpack.page.form import Form
from planner.jobpack.page.furniture import finished
from planner.jobpack.page.records import Page
from planner.jobpack.quote_sheet import quote_pages


@dataclass(frozen=True, slots=True)
class Document:
    """One document.

    Attributes:
        file: File name in the folder.
        title: Its title in the file's properties.
        reader: Whom it is for.
        pages: Makes its pages; none where there is nothing to show.
        nothing: What its one page says then.
        has_content: Whether a plan has anything for it.
    """

    file: str
    title: str
    reader: str
    pages: Callable[[Basis], tuple[Page, ...]]
    nothing: str = ""
    has_content: Callable[[JobPlan], bool] = always


DOCUMENTS: tuple[Document, ...] = (
    Document("quote.pdf", "quote", "the landholder", quote_pages),
    Document("neighbour-sheet.pdf", "neighbour sheet", "the neighbour", neighbour_pages,
             "No fence line of this job runs beside a boundary that is marked in it; mark the boundary, or import it.",
             has_neighbour),
    Document("grant-sheet.pdf", "grant sheet", "the funder", grant_pages,
             f"No fence line of this job runs along water that is marked in it (within {BESIDE_M:g} m), so there is no "
             "set-back to report.", has_grant),
    Document("options.pdf", "options and stages", "whoever decides", options_pages,
             "This job has no two options to set side by side, and no stages.", has_options),
)
"""The documents, in the order in which they are written."""


def document_pages(document: Document, basis: Basis) -> tuple[Page, ...]:
    """The pages of a document with heads and feet; one page that says so where there is nothing to show.

    Args:
        document: Which one.
        basis: Basis of the sheets.
    """
    pages = document.pages(basis)
    if not pages:
        flow = Flow(Form("A4"), document.title.capitalize())
        flow.text(basis.said(document.nothing), size_pt=11.0)
        pages = flow.pages()
    return finished(pages, basis.facts)
