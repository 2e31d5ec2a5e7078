"""The journal of a job: every edit since the last save, written beside it, so that a bad end loses none.

A journal begins with its head, which says what it stands on: the job file as it was saved, known by its length and
SHA-256, or nothing, when its first record holds the whole job. Each record after it is one edit.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from planner.errors import FileTrouble, JobTrouble
from planner.files.atomic_save import backup_of, whole_file
from planner.files.job_file import FileState, OpenedJob, open_job, state_of
from planner.files.journal_parts import change_between, job_after
from planner.files.journal_records import MAGIC, LeftJournal, record_of, records_of
from planner.files.lock import this_process
from planner.job.job import Job

EMPTY = Job("", "")
"""What the first record of a journal changes when it holds the whole job."""


@dataclass(frozen=True)
class Entry:
    """One edit.

    Attributes:
        label: What was done.
        at: ISO time, local.
        job: The job after it.
    """

    label: str
    at: str
    job: Job


class Journal:
    """A journal that is being written. Made by ``begun``.

    Args:
        path: Where it stands.
        last: The job that its last record gives.
    """

    def __init__(self, path: Path, last: Job) -> None:
        self.path, self._last = path, last
        self._handle = os.open(path, os.O_WRONLY | os.O_APPEND | getattr(os, "O_BINARY", 0))
        self._good = os.fstat(self._handle).st_size

    def add(self, entries: Sequence[Entry]) -> None:
        """Writes edits and forces them to disk; when this returns, they outlast the program and the machine.

        Args:
            entries: The edits, in order.

        Raises:
            OSError: They could not be written; the journal is as it was before.
        """
        content, last = [], self._last
        for entry in entries:
            content.append(record_of(_edit(last, entry)))
            last = entry.job
        try:
            left = memoryview(b"".join(content))
            while left:
                left = left[os.write(self._handle, left):]
            os.fsync(self._handle)
        except OSError:
            with suppress(OSError):
                os.ftruncate(self._handle, self._good)
            raise
        self._last, self._good = last, os.fstat(self._handle).st_size

    def close(self) -> None:
        """Lets go of the file, which stays."""
        if self._handle >= 0:
            os.close(self._handle)
            self._handle = -1


def begun(path: Path, *, base: Job | None, job_path: Path | None, state: FileState | None,
          entries: Sequence[Entry]) -> Journal:
    """Begins a journal, in place of one that may stand there; it appears whole, with the edits there are so far.

    Args:
        path: Where it shall stand.
        base: The job that stands in its file; None when none does.
        job_path: The job's own file; None when it has none.
        state: State of that file when it held ``base``.
        entries: Edits so far, at least one.

    Raises:
        FileTrouble: It cannot be written there.
    """
    root = _root_of(job_path) if base is not None and job_path is not None and state is not None else None
    if root is not None and (job_path is None or state_of(job_path) != state):
        root = None  # somebody else has written the file since
    last = base if root is not None and base is not None else EMPTY
    head = {"job": str(job_path or ""), "name": entries[-1].job.name, "root": root, "writer": asdict(this_process())}
    records = [record_of(head)]
    if root is None and base is not None:
        records.append(record_of(_edit(EMPTY, Entry("", entries[0].at, base))))
        last = base
    for entry in entries:
        records.append(record_of(_edit(last, entry)))
        last = entry.job
    with whole_file(path) as draft:
        draft.write_bytes(MAGIC + b"".join(records))
    return Journal(path, last)


def recovered(left: LeftJournal) -> OpenedJob | None:
    """The job with every edit of a journal that is not in its file; None when all of them are.

    Args:
        left: The journal.

    Raises:
        FileTrouble: The job file is not there, or cannot be read.
        JobTrouble: The journal does not belong to the file as it is now.
    """
    try:
        records, trouble = records_of(left.path)
    except (OSError, ValueError) as fault:
        raise FileTrouble(f"the journal cannot be read ({fault})", where=str(left.path),
                          remedy="open the job without it") from fault
    root = records[0].get("root")
    job, notes = (EMPTY, ()) if root is None else _job_on_root(left, root)
    jobs, labels = [job], [""]
    for record in records[1:]:
        try:
            jobs.append(job_after(jobs[-1], record["change"]))
            labels.append(str(record["label"]))
        except (JobTrouble, KeyError, TypeError) as fault:
            trouble = f"edit {len(jobs)} does not fit ({getattr(fault, 'what', fault)})"
            break
    if len(jobs) == 1 or jobs[-1] is EMPTY:
        raise JobTrouble("no edit of the journal can be brought back" + (f": {trouble}" if trouble else ""),
                         where=str(left.path), remedy="open the job without it")
    if trouble:
        notes = (*notes, f"The journal is damaged after edit {sum(map(bool, labels))}: {trouble}; every edit before "
                         "that was brought back")
    if left.job_path is not None and left.job_path.is_file() and jobs[-1] == open_job(left.job_path).job:
        return None
    return OpenedJob(jobs[-1], notes)


def _job_on_root(left: LeftJournal, root: dict[str, Any]) -> tuple[Job, tuple[str, ...]]:
    """The job that a journal stands on: in its file, or in the previous version beside it."""
    if left.job_path is None:
        raise JobTrouble("the journal does not say which job it belongs to", where=str(left.path),
                         remedy="open the job without it")
    for file in (left.job_path, backup_of(left.job_path)):
        if file.is_file() and _root_of(file) == root:
            opened = open_job(file)
            return opened.job, opened.notes
    raise JobTrouble("the job file is not the one that these edits were made on: it was saved by somebody else, moved "
                     "or taken away since", where=str(left.job_path),
                     remedy=f"put that file back to bring them back from {left.path.name}")


def _root_of(path: Path) -> dict[str, Any] | None:
    try:
        with path.open("rb") as file:
            digest = hashlib.file_digest(file, "sha256").hexdigest()
            return {"length": file.tell(), "sha256": digest}
    except OSError:
        return None


def _edit(before: Job, entry: Entry) -> dict[str, Any]:
    return {"label": entry.label, "at": entry.at, "change": change_between(before, entry.job)}
