"""A job from rows that have been checked: those of a job file, or those that a journal holds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields

from planner.files.job_check import check_features, check_levels, check_lines, check_table
from planner.files.job_tables import CROSSINGS, FEATURES, GATES, LINES, POINTS, TABLES, job_of
from planner.files.migrations.content import Rows
from planner.job.job import Job
from planner.job.quote_terms import QuoteTerms
from planner.job.unread import Row
from planner.settings import Settings
from planner.survey.datum import usable_as_grid

LAYERS = (LINES, GATES, CROSSINGS, FEATURES, POINTS)
_NAMES: dict[str, frozenset[str]] = {
    "strainwright_job": frozenset(("format", "program_version", "name", "crs", "made_at", "own_items", "option")),
    "strainwright_settings": frozenset(Settings().as_dict()),
    "strainwright_quote_terms": frozenset(field.name for field in fields(QuoteTerms)),
    "strainwright_line_facts": frozenset(("wires_on",)),
}


def checked_job(features: Mapping[str, Rows], tables: Mapping[str, Rows]) -> Job:
    """The job that some rows describe, each looked over before.

    Args:
        features: Layer name to rows, the geometry first; a layer that is not named has none.
        tables: Table name to rows; a table that is not named has none.

    Raises:
        ValueError: A value cannot be what its column says.
        KeyError: A row that every job has is missing.
        BadSetting: A setting is out of its limits, or not known.
    """
    shapes = {layer.name: list(features.get(layer.name, ())) for layer in LAYERS}
    rows = {name: list(tables.get(name, ())) for name in TABLES}
    for layer in LAYERS:
        check_features(layer, shapes[layer.name])
    for name, (columns, _) in TABLES.items():
        check_table(name, columns, rows[name])
    check_lines(shapes["lines"], [
        *((f"the gate '{row[1]}'", row[2]) for row in shapes["gates"]),
        *((f"the crossing '{row[1]}'", row[2]) for row in shapes["crossings"]),
        *(("a ground class", row[0]) for row in rows["strainwright_stretches"]),
        *(("how well corners are known", row[0]) for row in rows["strainwright_corners"])])
    job = job_of(shapes, rows)
    for name, levels in job.levels.items():
        check_levels(name, levels)
    if job.crs and (why_not := usable_as_grid(job.crs)):
        raise ValueError(why_not)
    return job


def without_strange_names(tables: Mapping[str, Rows]) -> tuple[dict[str, Rows], list[tuple[str, Row]]]:
    """Tables of names and values without the names that this version does not know, and the rows that have those.

    Args:
        tables: Table name to rows, as a newer minor version wrote them.
    """
    kept, strange = dict(tables), []
    for table, names in _NAMES.items():
        rows = tables.get(table, ())
        strange += [(table, row) for row in rows if row[-2] not in names]
        kept[table] = [row for row in rows if row[-2] in names]
    return kept, strange
