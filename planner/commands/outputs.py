"""What a job pack can hold on this machine: the files, and the sheets where there is something to draw them with."""

from __future__ import annotations

from collections.abc import Sequence

from planner.errors import FileTrouble
from planner.jobpack.documents import DOCUMENTS
from planner.jobpack.output import Output
from planner.jobpack.page.form import SheetChoice
from planner.jobpack.register import OUTPUTS

DRAWN = ("job-pack.pdf", "straining-sheet.pdf", *(document.file for document in DOCUMENTS))


def all_outputs(choice: SheetChoice | None = None, *, asked: Sequence[str] = ()) -> tuple[tuple[Output, ...], str]:
    """Everything that this machine can write, and one sentence on what it cannot draw.

    Args:
        choice: Units, paper and date of the sheets.
        asked: File names asked for by name.

    Returns:
        The outputs in the order they are written; the sentence, empty where nothing is left out.

    Raises:
        FileTrouble: A sheet was asked for by name, and there is nothing to draw it with.
    """
    try:
        from planner.render.outputs import drawn_outputs
    except ImportError as trouble:
        if (trouble.name or "").startswith("planner"):
            raise
        for name in asked:
            if name in DRAWN:
                raise FileTrouble("this machine has nothing to draw it with", where=name,
                                  remedy="install PySide6-Essentials, or leave it out of --only") from trouble
        return OUTPUTS, (f"The sheets ({', '.join(DRAWN)}) were left out: this machine has nothing to draw them with "
                         f"({trouble}); install PySide6-Essentials.")
    return (*OUTPUTS, *drawn_outputs(choice)), ""
