"""Edits of the whole job: its name, settings, prices, own fence types, waivers, and what an import brought in."""

from __future__ import annotations

from dataclasses import dataclass, replace

from planner.job.job import Job, Waiver
from planner.materials.prices import PriceList


@dataclass(frozen=True)
class RenameJob:
    """Gives the job another name."""

    name: str

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return "rename the job"

    def apply(self, job: Job) -> Job:
        """The job renamed."""
        return job if self.name == job.name else replace(job, name=self.name)


@dataclass(frozen=True)
class ChangeSettings:
    """Changes settings, each checked against its limits."""

    values: tuple[tuple[str, str | float | int | bool], ...]

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"set {', '.join(name for name, _ in self.values)}"

    def apply(self, job: Job) -> Job:
        """The job with the settings."""
        settings = job.settings.changed(dict(self.values))
        return job if settings == job.settings else replace(job, settings=settings)


@dataclass(frozen=True)
class ChangePrices:
    """Takes another price list."""

    prices: PriceList

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return "change prices"

    def apply(self, job: Job) -> Job:
        """The job with the prices."""
        return job if self.prices == job.prices else replace(job, prices=self.prices)


@dataclass(frozen=True)
class KeepOwnFence:
    """Keeps a fence type of the job's own; empty text takes it away."""

    key: str
    toml: str

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"keep fence type {self.key}" if self.toml else f"drop fence type {self.key}"

    def apply(self, job: Job) -> Job:
        """The job with the fence type."""
        own = {key: text for key, text in job.own_fences.items() if key != self.key}
        if self.toml:
            own[self.key] = self.toml
        return job if own == dict(job.own_fences) else replace(job, own_fences=own)


@dataclass(frozen=True)
class Waive:
    """Sets a finding aside, with the reason."""

    waiver: Waiver

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"waive {self.waiver.rule}"

    def apply(self, job: Job) -> Job:
        """The job with the waiver, in the place of an earlier one of the same finding."""
        others = tuple(w for w in job.waivers if not _meets(w, self.waiver))
        return replace(job, waivers=(*others, self.waiver))


@dataclass(frozen=True)
class TakeBackWaiver:
    """Lets a finding that was set aside count again."""

    waiver: Waiver

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"take back the waiver of {self.waiver.rule}"

    def apply(self, job: Job) -> Job:
        """The job without the waiver."""
        others = tuple(w for w in job.waivers if not _meets(w, self.waiver))
        return job if len(others) == len(job.waivers) else replace(job, waivers=others)


@dataclass(frozen=True)
class TakeIn:
    """Takes in what an import made of a job: the job that it gave stands in the place of the one it started from."""

    made: Job
    what: str

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"import {self.what}"

    def apply(self, job: Job) -> Job:
        """The job that the import gave."""
        return self.made


def _meets(a: Waiver, b: Waiver) -> bool:
    return (a.rule, a.line, a.where) == (b.rule, b.line, b.where)
