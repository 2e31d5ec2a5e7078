"""Options: alternative lines, or alternative fences on the same lines, of which one will be built."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

from planner.alignment.line import FenceLine
from planner.errors import OutOfRange
from planner.findings import Finding, Place

if TYPE_CHECKING:
    from planner.job.job import Job

RULES = {
    "option-01": "lines of options that are not chosen are not planned",
    "option-02": "an option names lines and a choice names an option that are there",
}


@dataclass(frozen=True, slots=True)
class Option:
    """One way to build a job.

    Attributes:
        name: Name on the sheets, unique in the job.
        lines: Names of the lines that only options hold and this one does; a line that no option names is built
            whichever is chosen.
        fences: Line name and the fence type it carries here, where that is not its own.
        note: What speaks for it.
        life_years: Years that what it builds is expected to stand, where that is not what its fence types say. [a] An
            old fence that is patched stands shorter. None for what they say.

    Raises:
        OutOfRange: The life is not from 1 to 100 years.
    """

    name: str
    lines: tuple[str, ...] = ()
    fences: tuple[tuple[str, str], ...] = ()
    note: str = ""
    life_years: float | None = None

    def __post_init__(self) -> None:
        if self.life_years is not None and not 1.0 <= self.life_years <= 100.0:
            raise OutOfRange(f"{self.life_years:g} is not a life from 1 to 100 years", where=f"option {self.name}",
                             remedy="give one inside these limits, or none")


def chosen_option(job: Job) -> Option | None:
    """The option that will be built: the one chosen, else the first; None when the job has none.

    Args:
        job: The job.
    """
    return next((option for option in job.options if option.name == job.option),
                job.options[0] if job.options else None)


def lines_of_option(job: Job, option: Option | None) -> tuple[FenceLine, ...]:
    """The lines that are built when an option is, in the job's order, with the fences that they then carry.

    Args:
        job: The job.
        option: The option; None where the job has none.
    """
    if option is None:
        return job.lines
    held = {name for other in job.options for name in other.lines}
    fences = dict(option.fences)
    return tuple(_carrying(line, fences[line.name]) if fences.get(line.name, line.fence) != line.fence else line
                 for line in job.lines if line.name not in held or line.name in option.lines)


@lru_cache(maxsize=512)
def _carrying(line: FenceLine, fence: str) -> FenceLine:
    """The line with another fence; the very same record each time, so that its plan is taken over."""
    return replace(line, fence=fence)


def set_aside(job: Job) -> tuple[str, ...]:
    """Names of the lines that are not built because another option is chosen.

    Args:
        job: The job.
    """
    built = {line.name for line in lines_of_option(job, chosen_option(job))}
    return tuple(line.name for line in job.lines if line.name not in built)


def check_options(job: Job) -> list[Finding]:
    """Which option is planned and what it leaves out, and what options speak of that is not there.

    Args:
        job: The job.
    """
    chosen = chosen_option(job)
    if chosen is None:
        return []
    aside = set_aside(job)
    found = [Finding("option-01", "note", f"Option '{chosen.name}' is planned"
                     + (f"; left out: {', '.join(aside)}." if aside else "."), "Choose another option to plan that.")]
    known = {line.name for line in job.lines}
    for option in job.options:
        named = (*option.lines, *(name for name, _ in option.fences))
        found += [Finding("option-02", "warning", f"Option '{option.name}' names the line '{name}', which is not "
                          "there.", "Take it out of the option, or add the line.", Place(line=name))
                  for name in dict.fromkeys(named) if name not in known]
    if job.option and job.option != chosen.name:
        found.append(Finding("option-02", "warning", f"Option '{job.option}' was chosen, but there is none of that "
                             "name.", "Choose one that is there."))
    return found


def without_line(options: Iterable[Option], name: str) -> tuple[Option, ...]:
    """Options that no longer speak of a line.

    Args:
        options: Options.
        name: Name of the line.
    """
    return tuple(replace(option, lines=tuple(n for n in option.lines if n != name),
                         fences=tuple(f for f in option.fences if f[0] != name)) for option in options)


def with_line_renamed(options: Iterable[Option], old: str, new: str) -> tuple[Option, ...]:
    """Options in which a line has another name.

    Args:
        options: Options.
        old: Its name so far.
        new: Its name from now on.
    """
    return tuple(replace(option, lines=tuple(new if n == old else n for n in option.lines),
                         fences=tuple((new if n == old else n, fence) for n, fence in option.fences))
                 for option in options)
