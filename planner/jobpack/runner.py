"""Writes the job pack: every output, or those named, each whole or not at all."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from planner.errors import FileTrouble
from planner.job.plan import JobPlan
from planner.jobpack.output import Output
from planner.jobpack.register import OUTPUTS
from planner.progress import Progress, Unwatched


def chosen(names: Sequence[str], outputs: Sequence[Output] = OUTPUTS) -> tuple[Output, ...]:
    """The outputs of some names; all of them when none is named.

    Args:
        names: File names.
        outputs: What there is to choose from: the register, and what is drawn on a machine that can draw.

    Raises:
        FileTrouble: There is no output of a name.
    """
    known = {output.name: output for output in outputs}
    for name in names:
        if name not in known:
            raise FileTrouble(f"the job pack has no file '{name}'", remedy=f"choose from {', '.join(known)}")
    return tuple(known[name] for name in names) if names else tuple(outputs)


def write_pack(plan: JobPlan, folder: Path, *, names: Sequence[str] = (), outputs: Sequence[Output] = OUTPUTS,
               progress: Progress = Unwatched()) -> tuple[Path, ...]:
    """Writes the job pack into a folder, which is made when it is not there.

    Args:
        plan: The plan.
        folder: The folder.
        names: Which files; all that have any content when empty.
        outputs: What there is to choose from, as for ``chosen``.
        progress: Told of each file.

    Returns:
        The files written.

    Raises:
        FileTrouble: A name is unknown, or the folder or a file in it cannot be written.
    """
    wanted = [output for output in chosen(names, outputs) if names or output.has_content(plan)]
    return write_outputs(plan, folder, wanted, progress, remedy="choose another with --to")


def write_outputs(plan: JobPlan, folder: Path, outputs: Sequence[Output], progress: Progress, *,
                  remedy: str = "choose another") -> tuple[Path, ...]:
    """Writes some outputs of a plan into a folder, which is made when it is not there.

    Args:
        plan: The plan.
        folder: The folder.
        outputs: What to write.
        progress: Told of each file.
        remedy: What to do when the folder cannot be made.

    Raises:
        FileTrouble: The folder or a file in it cannot be written.
        Cancelled: The user asked to stop; files already written stay.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as trouble:
        raise FileTrouble(f"the folder cannot be made ({trouble.strerror})", where=str(folder),
                          remedy=remedy) from trouble
    written = []
    for number, output in enumerate(outputs):
        progress.stop_if_cancelled()
        progress.report(number / len(outputs), output.name)
        output.write(folder / output.name, plan)
        written.append(folder / output.name)
    progress.report(1.0, "job pack written")
    return tuple(written)
