"""How clearances, what is known of lines besides their course, and the records of the work lie in a job file."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any, cast, get_args

from planner.alignment.line import Side
from planner.job.job import Job
from planner.surroundings.clearances import Clearance
from planner.survey.fixes import Accuracy
from planner.upkeep.records import AsBuilt, Built, Inspection, Loss, Progress, Records

Tables = Mapping[str, Sequence[tuple[Any, ...]]]
Fields = tuple[tuple[str, str], ...]

RECORD_TABLES: dict[str, tuple[Fields, str]] = {
    "strainwright_line_facts": (
        (("line", "TEXT"), ("name", "TEXT"), ("value", "TEXT")), "what was decided of lines besides their course"),
    "strainwright_option_facts": (
        (("option", "TEXT"), ("name", "TEXT"), ("value", "TEXT")), "what was decided of options besides their lines"),
    "strainwright_clearances": (
        (("kind", "TEXT"), ("about", "TEXT"), ("settled", "TEXT"), ("reference", "TEXT"), ("expires", "TEXT"),
         ("not_needed", "TEXT"), ("note", "TEXT")), "what is settled before the first post; dates as ISO"),
    "strainwright_progress": (
        (("line", "TEXT"), ("section", "TEXT"), ("component", "TEXT"), ("share", "DOUBLE"), ("dated", "TEXT"),
         ("note", "TEXT")), "how far the work is"),
    "strainwright_as_built": (
        (("name", "TEXT"), ("line", "TEXT"), ("wkt", "TEXT"), ("accuracy", "TEXT"), ("dated", "TEXT"),
         ("origin", "TEXT")), "what was measured along the built fence, in the working grid"),
    "strainwright_inspections": (
        (("line", "TEXT"), ("section", "TEXT"), ("dated", "TEXT"), ("by", "TEXT"), ("found", "TEXT"),
         ("action", "TEXT"), ("done", "INTEGER"), ("cost", "TEXT"), ("far_end_kv", "TEXT"), ("floodgate", "TEXT")),
        "what walks along the fences found"),
    "strainwright_losses": (
        (("line", "TEXT"), ("from_m", "DOUBLE"), ("to_m", "DOUBLE"), ("dated", "TEXT"), ("cause", "TEXT"),
         ("photos", "TEXT"), ("hours", "DOUBLE"), ("note", "TEXT")), "fence lost to fire, flood or storm"),
    "strainwright_built": (
        (("line", "TEXT"), ("dated", "TEXT"), ("cost", "TEXT"), ("life_years", "TEXT")), "when lines were finished"),
}
"""Tables that came with format 1.2."""


def record_rows(job: Job) -> dict[str, list[tuple[Any, ...]]]:
    """The rows of these tables, by table name.

    Args:
        job: The job.
    """
    kept = job.records
    return {
        "strainwright_line_facts": [(n.name, "wires_on", n.wires_on) for n in job.lines if n.wires_on],
        "strainwright_clearances": [
            (c.kind, c.about, _text_of(c.settled), c.reference, _text_of(c.expires), c.not_needed, c.note)
            for c in job.clearances],
        "strainwright_progress": [(p.line, p.section, p.component, p.share, p.on.isoformat(), p.note)
                                  for p in kept.progress],
        "strainwright_as_built": [(a.name, a.line, a.wkt, a.accuracy, _text_of(a.on), a.origin) for a in kept.as_built],
        "strainwright_inspections": [
            (i.line, i.section, i.on.isoformat(), i.by, i.found, i.action, int(i.done), _text_of(i.cost),
             _text_of(i.far_end_kv), i.floodgate) for i in kept.inspections],
        "strainwright_losses": [(n.line, n.from_m, n.to_m, n.on.isoformat(), n.cause, n.photos, n.hours, n.note)
                                for n in kept.losses],
        "strainwright_built": [(b.line, b.on.isoformat(), _text_of(b.cost), _text_of(b.life_years))
                               for b in kept.built],
    }


def sides_of(tables: Tables) -> dict[str, Side]:
    """Line name to the side on which its wires hang.

    Args:
        tables: Table name to rows.

    Raises:
        ValueError: It is no side.
    """
    found: dict[str, Side] = {}
    for line, name, value in tables["strainwright_line_facts"]:
        if name != "wires_on":
            continue  # a newer minor version may say more
        if value not in get_args(Side):
            raise ValueError(f"{value!r:.40} is no side of a line")
        found[line] = cast(Side, value)
    return found


def clearances_of(tables: Tables) -> tuple[Clearance, ...]:
    """Clearances from their table.

    Args:
        tables: Table name to rows.

    Raises:
        ValueError: A date is none.
    """
    return tuple(Clearance(kind, about, _day(settled), reference, _day(expires), not_needed, note)
                 for kind, about, settled, reference, expires, not_needed, note in tables["strainwright_clearances"])


def records_of(tables: Tables) -> Records:
    """Records of the work from their tables.

    Args:
        tables: Table name to rows.

    Raises:
        ValueError: A date or a number is none, or a shape cannot be read.
        OutOfRange: A share is none, or a stretch ends before it begins.
    """
    return Records(
        progress=tuple(Progress(line, section, component, _finite(share), date.fromisoformat(on), note)
                       for line, section, component, share, on, note in tables["strainwright_progress"]),
        as_built=tuple(AsBuilt(name, line, wkt, _accuracy(accuracy), _day(on), origin)
                       for name, line, wkt, accuracy, on, origin in tables["strainwright_as_built"]),
        inspections=tuple(
            Inspection(line, section, date.fromisoformat(on), by, found, action, bool(done), _money(cost),
                       _finite(kv) if kv else None, floodgate)
            for line, section, on, by, found, action, done, cost, kv, floodgate in tables["strainwright_inspections"]),
        losses=tuple(Loss(line, _finite(a), _finite(b), date.fromisoformat(on), cause, photos, _finite(hours), note)
                     for line, a, b, on, cause, photos, hours, note in tables["strainwright_losses"]),
        built=tuple(Built(line, date.fromisoformat(on), _money(cost), _finite(life) if life else None)
                    for line, on, cost, life in tables["strainwright_built"]),
    )


def _text_of(value: Any) -> str:
    return "" if value is None else str(value)


def _day(text: str) -> date | None:
    return date.fromisoformat(text) if text else None


def _money(text: str) -> Decimal | None:
    if not text:
        return None
    amount = Decimal(text)
    if not amount.is_finite():
        raise ValueError(f"{text!r:.40} is no amount of money")
    return amount


def _finite(value: Any) -> float:
    number = float(value)
    if not math.isfinite(number):
        raise ValueError(f"{value!r:.40} is no finite number")
    return number


def _accuracy(text: str) -> Accuracy:
    if text not in get_args(Accuracy):
        raise ValueError(f"{text!r:.40} is no accuracy class")
    return cast(Accuracy, text)
