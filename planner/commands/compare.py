"""``strainwright compare``: jobs, or the options of one job, side by side."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from planner.commands.bar import Watched
from planner.errors import FileTrouble, JobTrouble
from planner.files.job_file import read_job
from planner.job.comparison import Comparison, compare, plan_options, stage_totals
from planner.job.derive import plan_job
from planner.job.options import chosen_option
from planner.job.plan import JobPlan
from planner.jobpack.basis import basis_of
from planner.jobpack.comparison_rows import comparison_rows
from planner.jobpack.documents import DOCUMENTS, document_pages
from planner.jobpack.options_sheet import comparison_pages
from planner.jobpack.page.form import SheetChoice
from planner.jobpack.page.measures import Measures
from planner.progress import Part, Progress


def run(chosen: argparse.Namespace) -> int:
    """Prints the comparison: a row a figure, a column an alternative. One job alone is compared with itself by option.

    Args:
        chosen: Parsed words: ``jobs``, ``units``, ``to``, ``quiet``.

    Returns:
        0.

    Raises:
        PlannerError: A job cannot be opened or planned, one job alone has nothing to compare, or the sheet cannot be
            written.
    """
    if chosen.to is not None and chosen.to.suffix.lower() != ".pdf":
        raise FileTrouble("a comparison is written as a PDF", where=str(chosen.to), remedy="say --to NAME.pdf")
    measures = Measures(chosen.units)
    with Watched(quiet=chosen.quiet) as progress:
        plans, built = _plans(chosen.jobs, progress)
        found = compare(plans)
    print(_told(found, measures))
    if found.cheapest is not None and len(found.columns) > 1:
        print(f"\nLeast cost: {found.cheapest.name}.")
    for name, plan in plans:
        if name not in built:
            continue
        stages = stage_totals(plan, today=date.today())
        if stages:
            print(f"\nStages of {name}, each bought by itself:" if len(chosen.jobs) > 1 else
                  "\nStages, each bought by itself:")
            print(_told(Comparison(stages), measures))
    if chosen.to is not None:
        own = built[0] if len(chosen.jobs) == 1 and built else ""
        _write(chosen.to, plans, found, SheetChoice(units=chosen.units), own=own)
        print(f"\nWritten to {chosen.to}.")
    return 0


def _write(target: Path, plans: Sequence[tuple[str, JobPlan]], found: Comparison, choice: SheetChoice, *,
           own: str) -> None:
    """The sheet: of one job its options and stages, of several all side by side."""
    try:
        from planner.render.pdf import write_pdf
    except ImportError as trouble:
        if (trouble.name or "").startswith("planner"):
            raise
        raise FileTrouble("this machine has nothing to draw it with", where=str(target),
                          remedy="install PySide6-Essentials, or leave --to out") from trouble
    bases = [basis_of(plan, choice) for _, plan in plans]
    if own:
        basis = next(basis for (name, _), basis in zip(plans, bases, strict=True) if name == own)
        pages = document_pages(next(one for one in DOCUMENTS if one.file == "options.pdf"), basis)
    else:
        pages = comparison_pages(bases, found)
    write_pdf(target, pages, title="Comparison: " + ", ".join(name for name, _ in plans),
              day=choice.dated.strftime("%Y%m%d"))


def _plans(paths: Sequence[Path], progress: Progress) -> tuple[list[tuple[str, JobPlan]], list[str]]:
    """What is compared, and the names of those whose stages are told: all jobs, but of one job the chosen option."""
    if len(paths) == 1:
        job = read_job(paths[0])
        if len(job.options) > 1:
            chosen = chosen_option(job)
            return list(plan_options(job, progress=progress)), [chosen.name] if chosen else []
        if job.stages:
            return [(job.name, plan_job(job, progress=progress))], [job.name]
        raise JobTrouble("there is nothing to compare it with", where=str(paths[0]),
                         remedy="name a second job, or make options in this one")
    plans = []
    names = _names(paths)
    for k, path in enumerate(paths):
        part = Part(progress, k / len(paths), (k + 1) / len(paths))
        plans.append((names[k], plan_job(read_job(path), progress=part)))
    return plans, names


def _names(paths: Sequence[Path]) -> list[str]:
    """File names without their endings; whole paths where two would be the same."""
    short = [path.name.removesuffix(".gpkg").removesuffix(".job") for path in paths]
    return short if len(set(short)) == len(short) else [str(path) for path in paths]


def _told(found: Comparison, measures: Measures) -> str:
    rows = [("", *(column.name for column in found.columns)), *comparison_rows(found.columns, measures)]
    wide = [max(len(row[k]) for row in rows[:-1]) for k in range(len(rows[0]))]
    lines = ["  ".join(cell.ljust(w) if k == 0 else cell.rjust(w)
                       for k, (cell, w) in enumerate(zip(row, wide, strict=True))).rstrip() for row in rows[:-1]]
    lines.insert(1, "-" * max(len(line) for line in lines))
    return "\n".join(lines).replace("\u202f", " ").replace("\u00a0", " ")
