"""Edits of what a client is told and offered: quote terms, options and stages."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from planner.errors import JobTrouble
from planner.job.job import Job
from planner.job.options import Option
from planner.job.quote_terms import QuoteTerms
from planner.job.stages import Stage


@dataclass(frozen=True)
class ChangeQuoteTerms:
    """Takes other terms for the quote."""

    terms: QuoteTerms

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return "change the terms of the quote"

    def apply(self, job: Job) -> Job:
        """The job with the terms."""
        return job if self.terms == job.terms else replace(job, terms=self.terms)


@dataclass(frozen=True)
class KeepOption:
    """Makes an option, or puts it in the place of the one of the same name."""

    option: Option

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"keep option {self.option.name}"

    def apply(self, job: Job) -> Job:
        """The job with the option."""
        _know_lines(job, (*self.option.lines, *(line for line, _ in self.option.fences)))
        _named(self.option.name, "option")
        if self.option in job.options:
            return job
        if any(other.name == self.option.name for other in job.options):
            return replace(job, options=tuple(
                self.option if other.name == self.option.name else other for other in job.options))
        return replace(job, options=(*job.options, self.option))


@dataclass(frozen=True)
class DropOption:
    """Drops an option; its lines stay in the job."""

    name: str

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"drop option {self.name}"

    def apply(self, job: Job) -> Job:
        """The job without the option."""
        _know(self.name, (option.name for option in job.options), "option")
        return replace(job, options=tuple(option for option in job.options if option.name != self.name),
                       option="" if job.option == self.name else job.option)


@dataclass(frozen=True)
class ChooseOption:
    """Chooses the option that is to be built."""

    name: str

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"choose option {self.name}"

    def apply(self, job: Job) -> Job:
        """The job with the option chosen."""
        _know(self.name, (option.name for option in job.options), "option")
        return job if job.option == self.name else replace(job, option=self.name)


@dataclass(frozen=True)
class RenameOption:
    """Gives an option another name; it keeps its place, and stays chosen where it was."""

    name: str
    new: str

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"rename option {self.name}"

    def apply(self, job: Job) -> Job:
        """The job with the option under its new name."""
        _rename(self.name, self.new, tuple(option.name for option in job.options), "option")
        if self.new == self.name:
            return job
        return replace(job, option=self.new if job.option == self.name else job.option, options=tuple(
            replace(one, name=self.new) if one.name == self.name else one for one in job.options))


@dataclass(frozen=True)
class RenameStage:
    """Gives a stage another name; it keeps its place."""

    name: str
    new: str

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"rename stage {self.name}"

    def apply(self, job: Job) -> Job:
        """The job with the stage under its new name."""
        _rename(self.name, self.new, tuple(stage.name for stage in job.stages), "stage")
        if self.new == self.name:
            return job
        return replace(job, stages=tuple(
            replace(one, name=self.new) if one.name == self.name else one for one in job.stages))


@dataclass(frozen=True)
class KeepStage:
    """Makes a stage, or puts it in the place of the one of the same name; its lines leave the stages they were in."""

    stage: Stage

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"keep stage {self.stage.name}"

    def apply(self, job: Job) -> Job:
        """The job with the stage, in the order in which they are built: by year where both have one, else as made."""
        _know_lines(job, self.stage.lines)
        _named(self.stage.name, "stage")
        if self.stage in job.stages:
            return job
        known = any(other.name == self.stage.name for other in job.stages)
        stages = [self.stage if other.name == self.stage.name else
                  replace(other, lines=tuple(line for line in other.lines if line not in self.stage.lines))
                  for other in job.stages] + ([] if known else [self.stage])
        years = [stage.year for stage in stages]
        if None not in years:
            stages.sort(key=lambda stage: stage.year or 0)
        return replace(job, stages=tuple(stages))


@dataclass(frozen=True)
class DropStage:
    """Drops a stage; its lines stay in the job."""

    name: str

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"drop stage {self.name}"

    def apply(self, job: Job) -> Job:
        """The job without the stage."""
        _know(self.name, (stage.name for stage in job.stages), "stage")
        return replace(job, stages=tuple(stage for stage in job.stages if stage.name != self.name))


def _know_lines(job: Job, names: Iterable[str]) -> None:
    for name in names:
        _know(name, (line.name for line in job.lines), "line")


def _know(name: str, names: Iterable[str], what: str) -> None:
    known = tuple(names)
    if name not in known:
        raise JobTrouble(f"there is no {what} '{name}'", remedy=f"there is {', '.join(known) or 'none'}")


def _rename(old: str, new: str, names: tuple[str, ...], what: str) -> None:
    _know(old, names, what)
    _named(new, what)
    if new != old and new in names:
        raise JobTrouble(f"there is a {what} '{new}' already" if what == "stage" else
                         f"there is an {what} '{new}' already", remedy="give it another name")


def _named(name: str, what: str) -> None:
    if not name.strip():
        raise JobTrouble(f"the {what} has no name", remedy="give it one")
