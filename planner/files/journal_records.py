"""The records of a journal, one after the other, and what one that was left behind holds.

Each record is its length, a check of the length, the CRC-32 of what follows, and values as JSON. Nothing in it is ever
run. A record that was cut off at the end of the file is as if it had not been written; one that is damaged ends the
reading, and that is said.
"""

from __future__ import annotations

import json
import struct
import zlib
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from planner.files.lock import Holder, has_ended

ENDING = ".journal"
MAGIC = b"strainwright journal 1\n"
_FRAME = struct.Struct("<III")
_CHECK = 0x5A5A5A5A


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
        records, trouble = records_of(path)
        head, edits = records[0], [record for record in records[1:] if record["label"]]
        if not edits:
            return None
        datetime.fromisoformat(edits[-1]["at"])
        job_path = _beside(path) or (Path(head["job"]) if head["job"] else None)
        return LeftJournal(path, job_path, str(head["name"]), len(edits), str(edits[-1]["label"]),
                           str(edits[-1]["at"]), Holder(**head["writer"]), trouble)
    except (OSError, ValueError, KeyError, TypeError, IndexError, RecursionError):
        return None


def record_of(value: dict[str, Any]) -> bytes:
    """A record of a journal.

    Args:
        value: What it says, as values that JSON can write.
    """
    content = text_of(value)
    return _FRAME.pack(len(content), len(content) ^ _CHECK, zlib.crc32(content)) + content


def records_of(path: Path) -> tuple[list[dict[str, Any]], str]:
    """The records of a journal, the head first, and what is wrong with it; empty when nothing is.

    Args:
        path: The journal.

    Raises:
        OSError: It cannot be read.
        ValueError: It is no journal.
    """
    content = path.read_bytes()
    if not content.startswith(MAGIC):
        raise ValueError("it is no journal of this version")
    found: list[dict[str, Any]] = []
    at = len(MAGIC)
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


def text_of(value: dict[str, Any]) -> bytes:
    """What a record says, as bytes.

    Args:
        value: What it says.
    """
    return json.dumps(value, ensure_ascii=False, separators=(",", ":")).encode("utf-8", "surrogatepass")


def value_of(content: bytes) -> dict[str, Any]:
    """What ``text_of`` wrote.

    Args:
        content: The bytes.

    Raises:
        ValueError: It is not that.
    """
    found = json.loads(content.decode("utf-8", "surrogatepass"))
    if not isinstance(found, dict):
        raise ValueError("it is not what a journal holds")
    return found


def _beside(path: Path) -> Path | None:
    """The job file that a journal stands beside, whatever its head says; None for one in the program's own folder."""
    name = path.name.removesuffix(ENDING)
    return path.with_name(name) if name.lower().endswith(".job.gpkg") else None
