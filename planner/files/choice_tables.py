"""How quote terms, options and stages lie in a job file."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, fields
from decimal import Decimal
from typing import Any

from planner.job.job import Job
from planner.job.options import Option
from planner.job.quote_terms import Extra, Multiplier, QuoteTerms
from planner.job.stages import Stage

Tables = Mapping[str, Sequence[tuple[Any, ...]]]
_LISTS = ("inclusions", "exclusions", "duties")


def choice_rows(job: Job) -> dict[str, list[tuple[Any, ...]]]:
    """The rows of quote terms, options and stages, by table name.

    Args:
        job: The job.
    """
    plain = asdict(QuoteTerms())
    return {
        "strainwright_quote_terms": [(name, json.dumps(value, default=str)) for name, value in asdict(job.terms).items()
                                     if value != plain[name]],
        "strainwright_options": [(option.name, option.note) for option in job.options],
        "strainwright_option_lines": [(option.name, line) for option in job.options for line in option.lines],
        "strainwright_option_fences": [(option.name, line, fence) for option in job.options
                                       for line, fence in option.fences],
        "strainwright_option_facts": [(option.name, "life_years", repr(option.life_years)) for option in job.options
                                      if option.life_years is not None],
        "strainwright_stages": [(stage.name, "" if stage.year is None else str(stage.year), stage.note)
                                for stage in job.stages],
        "strainwright_stage_lines": [(stage.name, line) for stage in job.stages for line in stage.lines],
    }


def terms_of(rows: Sequence[tuple[Any, ...]]) -> QuoteTerms:
    """Quote terms from their rows; what has no row is as the defaults are.

    Args:
        rows: Name and value as JSON.

    Raises:
        ValueError: A value cannot be what its name says.
        BadSetting: A number is out of its limits.
    """
    found = {name: json.loads(value) for name, value in rows}
    known = {field.name for field in fields(QuoteTerms)}
    made: dict[str, Any] = {}
    for name, value in found.items():
        if name not in known:
            continue  # a newer minor version may say more
        if name == "mark_up":
            made[name] = Decimal(value)
        elif name == "valid_days":
            made[name] = int(value)
        elif name == "rates":
            made[name] = tuple((component, Decimal(rate)) for component, rate in value)
        elif name == "multipliers":
            made[name] = tuple(Multiplier(**one) for one in value)
        elif name == "extras":
            made[name] = tuple(_extra(one) for one in value)
        elif name in _LISTS:
            made[name] = tuple(_text(one) for one in value)
        else:
            made[name] = _text(value)
    return QuoteTerms(**made)


def options_of(tables: Tables) -> tuple[Option, ...]:
    """Options from their tables.

    Args:
        tables: Table name to rows.

    Raises:
        ValueError: A life is not a number.
        OutOfRange: A life is out of its limits.
    """
    lives = {option: float(value) for option, name, value in tables["strainwright_option_facts"]
             if name == "life_years"}  # a newer minor version may say more
    return tuple(Option(name, tuple(line for option, line in tables["strainwright_option_lines"] if option == name),
                        tuple((line, fence) for option, line, fence in tables["strainwright_option_fences"]
                              if option == name), note, lives.get(name))
                 for name, note in tables["strainwright_options"])


def stages_of(tables: Tables) -> tuple[Stage, ...]:
    """Stages from their tables.

    Args:
        tables: Table name to rows.

    Raises:
        ValueError: A year is not a number.
    """
    return tuple(Stage(name, tuple(line for stage, line in tables["strainwright_stage_lines"] if stage == name),
                       int(year) if year else None, note)
                 for name, year, note in tables["strainwright_stages"])


def _extra(cells: Mapping[str, Any]) -> Extra:
    price = cells["price"]
    return Extra(_text(cells["what"]), _text(cells["unit"]), None if price is None else Decimal(price))


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise ValueError(f"{value!r:.40} is no text")
    return value
