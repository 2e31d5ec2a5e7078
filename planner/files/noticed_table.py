"""How what was noticed in files that were read lies in a job file."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any, cast, get_args

from planner.findings import Finding, Place, Severity
from planner.job.job import Job
from planner.sources import Source

NOTICED = "strainwright_noticed"
NOTICED_TABLE: dict[str, tuple[tuple[tuple[str, str], ...], str]] = {
    NOTICED: ((
        ("rule", "TEXT"), ("severity", "TEXT"), ("message", "TEXT"), ("remedy", "TEXT"), ("line", "TEXT"),
        ("x", "TEXT"), ("y", "TEXT"), ("file", "TEXT"), ("row", "TEXT"), ("document", "TEXT"), ("edition", "TEXT"),
        ("place", "TEXT")), "what wants a look in files that were read; empty where nothing is known"),
}
"""The table that came with format 1.3."""


def noticed_rows(job: Job) -> dict[str, list[tuple[Any, ...]]]:
    """The rows of the table.

    Args:
        job: The job.
    """
    return {NOTICED: [(f.rule, f.severity, f.message, f.remedy, f.place.line, _text_of(f.place.x), _text_of(f.place.y),
                       f.place.file, _text_of(f.place.row), f.source.document, f.source.edition, f.source.place)
                      for f in job.noticed]}


def noticed_of(tables: Mapping[str, Sequence[tuple[Any, ...]]]) -> tuple[Finding, ...]:
    """What was noticed, from the table.

    Args:
        tables: Table name to rows.

    Raises:
        ValueError: It is not known how bad one is, or a number is none.
    """
    return tuple(Finding(rule, _severity(bad), message, remedy,
                         Place(line, x=_finite(x), y=_finite(y), file=file, row=int(row) if row else None),
                         Source(*source))
                 for rule, bad, message, remedy, line, x, y, file, row, *source in tables[NOTICED])


def _text_of(value: float | None) -> str:
    return "" if value is None else repr(value)


def _finite(text: str) -> float | None:
    value = float(text) if text else None
    if value is not None and not math.isfinite(value):
        raise ValueError(f"{text!r:.40} is no coordinate")
    return value


def _severity(text: str) -> Severity:
    if text not in get_args(Severity):
        raise ValueError(f"{text!r:.40} does not say how bad a finding is")
    return cast(Severity, text)
