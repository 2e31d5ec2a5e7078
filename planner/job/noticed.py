"""What was noticed when files were read: kept with the job until it is set aside, as any other finding is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from planner.findings import Finding
from planner.job.job import Job


def with_noticed(job: Job, found: Iterable[Finding]) -> Job:
    """The job with what was found in files: all of it in its notes, and what wants a look as findings too.

    Args:
        job: The job.
        found: What reading told; what the job holds already is not there twice.
    """
    found = tuple(found)
    kept = tuple(dict.fromkeys((*job.noticed, *(f for f in found if f.severity != "note"))))
    notes = tuple(dict.fromkeys((*job.notes, *map(note_of, found))))
    return replace(job, notes=notes, noticed=job.noticed if kept == job.noticed else kept)


def note_of(finding: Finding) -> str:
    """A finding as a note says it.

    Args:
        finding: The finding.
    """
    return f"{finding.message} {finding.remedy}"


def other_notes(job: Job) -> tuple[str, ...]:
    """The notes of a job without those that stand among its findings.

    Args:
        job: The job.
    """
    told = {note_of(finding) for finding in job.noticed}
    return tuple(note for note in job.notes if note not in told)
