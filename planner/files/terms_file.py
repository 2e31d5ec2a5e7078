"""Quote terms, options and stages as one text file: written with comments, changed by hand, read back strictly."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

from planner.errors import BadFenceType, BadSetting, FileTrouble
from planner.files.atomic_save import write_text
from planner.files.terms_text import terms_text
from planner.job.derive import catalogue_of
from planner.job.job import Job
from planner.job.options import Option
from planner.job.quote_terms import EVERY_GROUND, Extra, Multiplier, QuoteTerms
from planner.job.stages import Stage
from planner.materials.labour import COMPONENTS
from planner.spec.tables import Table, nearest, parse_toml

_MOST_MONEY = 10**9
_MOST_BYTES = 1_000_000


def write_terms(target: Path, job: Job) -> None:
    """Writes the terms, options and stages of a job as a text file that says what each entry means.

    Args:
        target: Where it shall stand.
        job: The job.

    Raises:
        FileTrouble: It cannot be written there.
    """
    write_text(target, terms_text(job, catalogue_of(job)))


def read_terms(path: Path, job: Job) -> Job:
    """A job with the terms, options and stages of a text file.

    A part that the file does not name (terms, options, stages) stays as the job has it; so does an entry of the
    terms. Options and stages that it does name take the place of all that were there.

    Args:
        path: The file, as ``write_terms`` writes it.
        job: The job.

    Raises:
        FileTrouble: It cannot be read, or an entry is unknown, missing or wrong; names file and place.
    """
    try:
        if path.stat().st_size > _MOST_BYTES:
            raise FileTrouble("this is too long for a file of terms", where=str(path), remedy="name the right file")
        text = path.read_text(encoding="utf-8-sig")
    except OSError as trouble:
        raise FileTrouble(f"it cannot be read ({trouble.strerror or trouble})", where=str(path),
                          remedy="check the name") from trouble
    except ValueError as trouble:
        raise FileTrouble("this is not a text file in UTF-8", where=str(path), remedy="save it as UTF-8") from trouble
    try:
        return _job_of(Table(parse_toml(text, file=str(path), exact=True), file=str(path)), job)
    except (BadFenceType, BadSetting) as trouble:
        where = trouble.where if str(path) in trouble.where else f"{path}, {trouble.where or '[terms]'}"
        raise FileTrouble(trouble.what, where=where, remedy=trouble.remedy) from trouble
    except RecursionError as trouble:
        raise FileTrouble("its brackets are nested too deep", where=str(path), remedy="correct it") from trouble


def _job_of(table: Table, job: Job) -> Job:
    known = _Known(job)
    terms = _terms(table.table("terms"), job.terms, known) if table.has("terms") else job.terms
    options = tuple(_option(one, known) for one in table.tables("options")) if table.has("options") else job.options
    _refuse_twice(table, "options", (option.name for option in options))
    stages = tuple(_stage(one, known) for one in table.tables("stages")) if table.has("stages") else job.stages
    _refuse_twice(table, "stages", (stage.name for stage in stages))
    names = tuple(option.name for option in options)
    chosen = table.text("chosen_option", may_be_blank=True) if table.has("chosen_option") else (
        job.option if job.option in names or options == job.options else "")
    if chosen not in ("", *names) and (chosen != job.option or options != job.options):
        _refuse_unknown(table, "chosen_option", chosen, "option", names)
    table.finish()
    return replace(job, terms=terms, options=options, option=chosen, stages=stages)


class _Known:
    """Names that may be spoken of; those that the job speaks of already may stay."""

    def __init__(self, job: Job) -> None:
        catalogue = catalogue_of(job)
        held = [name for lines in (*(option.lines for option in job.options), *(stage.lines for stage in job.stages))
                for name in lines]
        carried = [pair for option in job.options for pair in option.fences]
        self.lines = tuple(dict.fromkeys((*(line.name for line in job.lines), *held, *(name for name, _ in carried))))
        self.fences = tuple(dict.fromkeys((*catalogue.fences, *(fence for _, fence in carried))))
        self.grounds = tuple(dict.fromkeys((EVERY_GROUND, *catalogue.grounds,
                                            *(m.ground for m in job.terms.multipliers))))


def _terms(table: Table, now: QuoteTerms, known: _Known) -> QuoteTerms:
    read = QuoteTerms(
        mark_up=table.amount("mark_up", low=0, high=10) if table.has("mark_up") else now.mark_up,
        valid_days=table.whole("valid_days", low=1, high=3650, default=now.valid_days),
        supplies=table.text("supplies", default=now.supplies, may_be_blank=True),
        remeasure=table.text("remeasure", default=now.remeasure, may_be_blank=True),
        payment=table.text("payment", default=now.payment, may_be_blank=True),
        inclusions=table.texts("inclusions", default=now.inclusions),
        exclusions=table.texts("exclusions", default=now.exclusions),
        duties=table.texts("duties", default=now.duties),
        rates=_rates(table.table("rates")) if table.has("rates") else now.rates,
        multipliers=tuple(_multiplier(one, known) for one in table.tables("multipliers"))
        if table.has("multipliers") else now.multipliers,
        extras=tuple(_extra(one) for one in table.tables("extras")) if table.has("extras") else now.extras)
    table.finish()
    return read


def _rates(table: Table) -> tuple[tuple[str, Decimal], ...]:
    for name in table.names():
        if name not in COMPONENTS:
            _refuse_unknown(table, name, name, "labour component", COMPONENTS)
    return tuple((name, table.amount(name, low=0, high=_MOST_MONEY)) for name in table.names())


def _multiplier(table: Table, known: _Known) -> Multiplier:
    ground = table.text("ground", default=EVERY_GROUND, may_be_blank=True)
    if ground not in known.grounds:
        _refuse_unknown(table, "ground", ground, "ground class", known.grounds[1:])
    read = Multiplier(table.choice("component", COMPONENTS), ground,
                      table.number("factor", low=0.0, high=20.0, above_low=True))
    table.finish()
    return read


def _extra(table: Table) -> Extra:
    price = table.amount("price", low=0, high=_MOST_MONEY) if table.has("price") else None
    read = Extra(table.text("what"), table.text("unit"), price)
    table.finish()
    return read


def _option(table: Table, known: _Known) -> Option:
    name = table.text("name")
    fences = []
    if table.has("fences"):
        carried = table.table("fences")
        for line in carried.names():
            fence = carried.text(line)
            if line not in known.lines:
                _refuse_unknown(carried, line, line, "line", known.lines)
            if fence not in known.fences:
                _refuse_unknown(carried, line, fence, "fence type", known.fences)
            fences.append((line, fence))
    life = table.number("life_years", low=1.0, high=100.0) if table.has("life_years") else None
    read = Option(name, _lines(table, known), tuple(fences), table.text("note", default=""), life)
    table.finish()
    return read


def _stage(table: Table, known: _Known) -> Stage:
    year = table.whole("year", low=1900, high=2300) if table.has("year") else None
    read = Stage(table.text("name"), _lines(table, known), year, table.text("note", default=""))
    table.finish()
    return read


def _lines(table: Table, known: _Known) -> tuple[str, ...]:
    names = table.texts("lines", default=())
    for name in names:
        if name not in known.lines:
            _refuse_unknown(table, "lines", name, "line", known.lines)
    return tuple(dict.fromkeys(names))


def _refuse_unknown(table: Table, field: str, name: str, what: str, known: Iterable[str]) -> None:
    names = tuple(known)
    near = nearest(name, names)
    table.refuse(field, f"there is no {what} '{name}'",
                 f"did you mean '{near}'" if near else f"there is {', '.join(names) or 'none'}")


def _refuse_twice(table: Table, field: str, names: Iterable[str]) -> None:
    seen: set[str] = set()
    for name in names:
        if name in seen:
            table.refuse(field, f"the name '{name}' stands there twice", "give each a name of its own")
        seen.add(name)
