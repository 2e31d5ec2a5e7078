"""The journal of a job: every edit since the last save, written beside it, so that a bad end loses none.

A journal begins with its head, which says what it stands on: the job file as it was saved, known by its length and
SHA-256, or nothing, when its first record holds the whole job. Each record after it is one edit: its length, a check
of the length, the CRC-32 of what follows, and the change as JSON. Nothing in it is ever run. A record that was cut
off at the end of the file is as if it had not been written; one that is damaged ends the reading, and that is said.
"""

from __future__ import annotations

import hashlib
import os
import struct
import zlib
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from planner.errors import FileTrouble, JobTrouble
from planner.files.atomic_save import backup_of, whole_file
from planner.files.job_file import FileState, OpenedJob, open_job, state_of
from planner.files.journal_parts import change_between, job_after, text_of, value_of
from planner.files.lock import Holder, has_ended, this_process
from planner.job.job import Job

ENDING = ".journal"
_MAGIC = b"strainwright journal 1\n"
_FRAME = struct.Struct("<III")
_CHECK = 0x5A5A5A5A
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


@dataclass(frozen=True)
class LeftJournal:
    """A journal that a run left behind.

    Attributes:
        path: The journal.
        job_path: The job's own file; None when it never had one.
        name: Name of the job.
        edits: How many edits it holds.
        last: What the last of them was.
        at: When that was, ISO, local.
        writer: The process that wrote it.
        trouble: What is wrong with it; empty when nothing is.
    """

    path: Path
    job_path: Path | None
    name: str
    edits: int
    last: str
    at: str
    writer: Holder
    trouble: str = ""

    @property
    def is_left(self) -> bool:
        """True when the process that wrote it has ended."""
        return not self.writer.is_this_process and has_ended(self.writer)

    @property
    def words(self) -> str:
        """What it holds and when it was written, in words."""
        at = datetime.fromisoformat(self.at)
        day = "today" if at.date() == datetime.now().date() else f"on {at:%d %B %Y}"
        what = f"{self.edits} edit{'' if self.edits == 1 else 's'} of '{self.name}'"
        since = "after the last save" if self.job_path is not None else "that were never saved"
        return f"{what} {since}, the last: '{self.last}', {day} at {at:%H:%M}"


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
            content.append(_record(_edit(last, entry)))
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
    records = [_record(head)]
    if root is None and base is not None:
        records.append(_record(_edit(EMPTY, Entry("", entries[0].at, base))))
        last = base
    for entry in entries:
        records.append(_record(_edit(last, entry)))
        last = entry.job
    with whole_file(path) as draft:
        draft.write_bytes(_MAGIC + b"".join(records))
    return Journal(path, last)


def journal_of(job_path: Path) -> Path:
    """Where the journal of a job stands.

    Args:
        job_path: The job's file.
    """
    return job_path.with_name(job_path.name + ENDING)


def look_at(path: Path) -> LeftJournal | None:
    """What a journal holds, without opening the job; None when it holds no edit, or is no journal.

    Args:
        path: The journal.
    """
    try:
        records, trouble = _read(path)
        head, edits = records[0], [record for record in records[1:] if record["label"]]
        if not edits:
            return None
        datetime.fromisoformat(edits[-1]["at"])
        job_path = _beside(path) or (Path(head["job"]) if head["job"] else None)
        return LeftJournal(path, job_path, str(head["name"]), len(edits), str(edits[-1]["label"]),
                           str(edits[-1]["at"]), Holder(**head["writer"]), trouble)
    except (OSError, ValueError, KeyError, TypeError, IndexError, RecursionError):
        return None


def recovered(left: LeftJournal) -> OpenedJob | None:
    """The job with every edit of a journal that is not in its file; None when all of them are.

    Args:
        left: The journal.

    Raises:
        FileTrouble: The job file is not there, or cannot be read.
        JobTrouble: The journal does not belong to the file as it is now.
    """
    try:
        records, trouble = _read(left.path)
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


def _beside(path: Path) -> Path | None:
    """The job file that a journal stands beside, whatever its head says; None for one in the program's own folder."""
    name = path.name.removesuffix(ENDING)
    return path.with_name(name) if name.lower().endswith(".job.gpkg") else None


def _root_of(path: Path) -> dict[str, Any] | None:
    try:
        with path.open("rb") as file:
            digest = hashlib.file_digest(file, "sha256").hexdigest()
            return {"length": file.tell(), "sha256": digest}
    except OSError:
        return None


def _edit(before: Job, entry: Entry) -> dict[str, Any]:
    return {"label": entry.label, "at": entry.at, "change": change_between(before, entry.job)}


def _record(value: dict[str, Any]) -> bytes:
    content = text_of(value)
    return _FRAME.pack(len(content), len(content) ^ _CHECK, zlib.crc32(content)) + content


def _read(path: Path) -> tuple[list[dict[str, Any]], str]:
    """The records of a journal, the head first, and what is wrong with it; empty when nothing is."""
    content = path.read_bytes()
    if not content.startswith(_MAGIC):
        raise ValueError("it is no journal of this version")
    found: list[dict[str, Any]] = []
    at = len(_MAGIC)
    while at + _FRAME.size <= len(content):
        length, check, crc = _FRAME.unpack_from(content, at)
        if length ^ _CHECK != check:
            return found, "the frame of a record is damaged"
        at += _FRAME.size
        if at + length > len(content):
            break  # cut off while it was being written
        body = content[at:at + length]
        if zlib.crc32(body) != crc:
            return found, "a record is damaged"
        try:
            found.append(value_of(body))
        except (ValueError, RecursionError):
            return found, "a record cannot be read"
        at += length
    return found, ""
