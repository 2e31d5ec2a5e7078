"""Edits of what is settled before the first post, and of what is written down once the work began."""

from __future__ import annotations

from dataclasses import dataclass, replace

from planner.errors import JobTrouble
from planner.job.job import Job
from planner.surroundings.clearances import Clearance
from planner.upkeep.records import Records


@dataclass(frozen=True)
class KeepClearance:
    """Writes down how one thing to be settled stands; it takes the place of the one of the same kind and matter."""

    clearance: Clearance

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"note {self.clearance.kind} {self.clearance.about}".rstrip()

    def apply(self, job: Job) -> Job:
        """The job with the clearance."""
        if not self.clearance.kind.strip():
            raise JobTrouble("what is to be settled has no kind", remedy="say what it is")
        if self.clearance in job.clearances:
            return job
        same = (self.clearance.kind, self.clearance.about)
        if any((other.kind, other.about) == same for other in job.clearances):
            return replace(job, clearances=tuple(self.clearance if (other.kind, other.about) == same else other
                                                 for other in job.clearances))
        return replace(job, clearances=(*job.clearances, self.clearance))


@dataclass(frozen=True)
class DropClearance:
    """Takes back what was written down of one thing to be settled."""

    kind: str
    about: str = ""

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"take back {self.kind} {self.about}".rstrip()

    def apply(self, job: Job) -> Job:
        """The job without the clearance."""
        kept = tuple(other for other in job.clearances if (other.kind, other.about) != (self.kind, self.about))
        if len(kept) == len(job.clearances):
            raise JobTrouble(f"nothing is written down of {self.kind} {self.about}".rstrip(),
                             remedy="choose one that is")
        return replace(job, clearances=kept)


@dataclass(frozen=True)
class ChangeRecords:
    """Takes other records of the work."""

    records: Records
    what: str = "the records of the work"

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"change {self.what}"

    def apply(self, job: Job) -> Job:
        """The job with the records."""
        return job if self.records == job.records else replace(job, records=self.records)
