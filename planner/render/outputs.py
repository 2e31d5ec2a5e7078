"""Outputs that need drawing: the sheets as PDF, for the register of the job pack."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from planner.job.plan import JobPlan
from planner.jobpack.basis import Basis, basis_of
from planner.jobpack.documents import DOCUMENTS, Document, document_pages
from planner.jobpack.job_pack_pdf import job_pack_pages, straining_sheet_pages
from planner.jobpack.output import Output
from planner.jobpack.page.form import SheetChoice
from planner.render.pdf import write_pdf


def drawn_outputs(choice: SheetChoice | None = None) -> tuple[Output, ...]:
    """The drawn files of the job pack, in the order they are written.

    Args:
        choice: Units, paper and date of the sheets; metric on A4 and today when None.
    """
    shared: list[Basis] = []

    def basis_for(plan: JobPlan) -> Basis:
        if not shared or shared[0].plan is not plan:
            shared[:] = [basis_of(plan, choice)]
        return shared[0]

    def job_pack(target: Path, plan: JobPlan) -> None:
        basis = basis_for(plan)
        write_pdf(target, job_pack_pages(basis), title=f"{plan.job.name}: job pack", day=_day(basis.choice))

    def straining_sheet(target: Path, plan: JobPlan) -> None:
        basis = basis_for(plan)
        write_pdf(target, straining_sheet_pages(basis), title=f"{plan.job.name}: straining sheets",
                  day=_day(basis.choice))

    def written(document: Document) -> Callable[[Path, JobPlan], None]:
        def write(target: Path, plan: JobPlan) -> None:
            basis = basis_for(plan)
            write_pdf(target, document_pages(document, basis), title=f"{plan.job.name}: {document.title}",
                      day=_day(basis.choice))

        return write

    return (Output("job-pack.pdf", "everyone: all sheets in order", job_pack),
            Output("straining-sheet.pdf", "the crew, to take outside", straining_sheet),
            *(Output(document.file, document.reader, written(document), document.has_content, document.nothing)
              for document in DOCUMENTS))


def _day(choice: SheetChoice) -> str:
    return choice.dated.strftime("%Y%m%d")
