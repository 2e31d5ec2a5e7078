"""What changed from one job to the next, as plain text, and the job that follows from it.

Only what is not the same object as before is written, in the very rows that a job file has: reading them back runs the
same checks. Lines, features and points are spliced, levels go line by line; anything else is written whole.
"""

from __future__ import annotations

import base64
from collections.abc import Sequence
from dataclasses import fields, replace
from typing import Any

import shapely

from planner.errors import BadSetting, JobTrouble
from planner.files.job_rows import checked_job
from planner.files.job_tables import feature_rows, table_rows
from planner.files.unread_parts import from_values, values_of
from planner.job.job import Job

_SPLICED = ("lines", "features", "points")
_WHOLE = tuple(field.name for field in fields(Job) if field.name not in (*_SPLICED, "levels", "unread"))
_BLOB = "blob"

Change = dict[str, Any]


def change_between(before: Job, after: Job) -> Change:
    """What makes one job of another, as values that JSON can write.

    Args:
        before: The job before.
        after: The job after.
    """
    whole = [name for name in _WHOLE if getattr(before, name) is not getattr(after, name)]
    parts: dict[str, Any] = {name: getattr(after, name) for name in whole}
    splices = {}
    for name in _SPLICED:
        old, new = getattr(before, name), getattr(after, name)
        if old is not new:
            start, end = _same_ends(old, new)
            splices[name] = [start, len(old) - end]
            parts[name] = new[start:len(new) - end]
    change: Change = {"whole": whole, "splices": splices}
    if before.levels is not after.levels:
        parts["levels"] = {k: v for k, v in after.levels.items() if before.levels.get(k) is not v}
        change["levels"] = list(after.levels)
    if before.unread is not after.unread:
        change["unread"] = _written({"": values_of(after.unread)})[""]
    changed = replace(Job(after.name, after.crs), **parts)
    features = {layer.name: [[shapely.to_wkb(shape, output_dimension=3), *row]
                             for row, shape in zip(rows, shapes, strict=True)]
                for layer, rows, shapes in feature_rows(changed) if rows}
    tables = {name: rows for name, rows in table_rows(changed, program_version="").items() if rows}
    return {**change, "features": _written(features), "tables": _written(tables)}


def job_after(before: Job, change: Change) -> Job:
    """The job that a change makes of another.

    Args:
        before: The job before.
        change: What ``change_between`` gave.

    Raises:
        JobTrouble: It is no change of this job.
    """
    try:
        features = {name: [(shapely.from_wkb(row[0]), *row[1:]) for row in rows]
                    for name, rows in _read(change["features"]).items()}
        changed = checked_job(features, {name: [tuple(row) for row in rows]
                                         for name, rows in _read(change["tables"]).items()})
        parts: dict[str, Any] = {name: getattr(changed, name) for name in change["whole"] if name in _WHOLE}
        for name, (start, stop) in change["splices"].items():
            old = getattr(before, name)
            if name not in _SPLICED or not 0 <= start <= stop <= len(old):
                raise ValueError(f"{name} are not as they were")
            parts[name] = (*old[:start], *getattr(changed, name), *old[stop:])
        if "levels" in change:
            parts["levels"] = {key: changed.levels[key] if key in changed.levels else before.levels[key]
                               for key in change["levels"]}
        if "unread" in change:
            parts["unread"] = from_values(_read({"": change["unread"]})[""])
        return replace(before, **parts)
    except (ValueError, KeyError, TypeError, AttributeError, ArithmeticError, RecursionError, BadSetting,
            shapely.errors.GEOSException) as trouble:
        what = trouble.what if isinstance(trouble, BadSetting) else " ".join(str(trouble).split())
        raise JobTrouble(f"an edit that was written down does not fit the job ({what})",
                         remedy="go on with the edits before it") from trouble


def _same_ends(old: Sequence[Any], new: Sequence[Any]) -> tuple[int, int]:
    """How many things are the same at the start, and at the end after that."""
    most = min(len(old), len(new))
    start = next((k for k in range(most) if old[k] is not new[k]), most)
    end = next((k for k in range(most - start) if old[-1 - k] is not new[-1 - k]), most - start)
    return start, end


def _written(rows: dict[str, list[Any]]) -> dict[str, list[list[Any]]]:
    return {name: [[{_BLOB: base64.b64encode(v).decode("ascii")} if isinstance(v, bytes) else v for v in row]
                   for row in of_table] for name, of_table in rows.items()}


def _read(rows: dict[str, list[list[Any]]]) -> dict[str, list[list[Any]]]:
    return {name: [[base64.b64decode(v[_BLOB], validate=True) if isinstance(v, dict) else v for v in row]
                   for row in of_table] for name, of_table in rows.items()}
