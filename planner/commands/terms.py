"""``strainwright terms``: terms of the quote, options and stages of a job: told, written to a text file, read back."""

from __future__ import annotations

import argparse
from collections.abc import Iterator

from planner.files.job_file import read_job, state_of, write_job
from planner.files.terms_file import read_terms, write_terms
from planner.job.job import Job
from planner.job.options import chosen_option
from planner.job.quote_terms import QuoteTerms
from planner.jobpack.money import money_text


def run(chosen: argparse.Namespace) -> int:
    """Reads the file named, writes the file named, or tells what the job has; reading comes before writing.

    Args:
        chosen: Parsed words: ``job``, ``write``, ``read``.

    Returns:
        0.

    Raises:
        PlannerError: The job or the file cannot be read or written, or an entry of the file is wrong.
    """
    was = state_of(chosen.job)
    job = read_job(chosen.job)
    if chosen.read is not None:
        new = read_terms(chosen.read, job)
        changed = _changed(job, new)
        if changed:
            write_job(chosen.job, new, was=was)
        print(f"{chosen.read} read: {', '.join(changed)} changed in {chosen.job}." if changed
              else f"{chosen.read} read: it changes nothing in {chosen.job}.")
        job = new
    if chosen.write is not None:
        write_terms(chosen.write, job)
        print(f"Terms, options and stages of {chosen.job} written to {chosen.write}.")
    if chosen.read is None and chosen.write is None:
        print("\n".join(_told(job)))
    return 0


def _changed(old: Job, new: Job) -> list[str]:
    parts = (("terms", old.terms != new.terms), ("options", old.options != new.options),
             ("choice of option", old.option != new.option), ("stages", old.stages != new.stages))
    return [name for name, is_new in parts if is_new]


def _told(job: Job) -> Iterator[str]:
    yield f"Terms of the quote for {job.name}"
    yield from _told_terms(job.terms, job.settings.currency)
    yield f"  Tax (a setting): {job.settings.tax_rate * 100:g} %"
    chosen = chosen_option(job)
    yield ""
    yield "Options" if job.options else "Options: none"
    for option in job.options:
        mark = " (chosen)" if option is chosen else ""
        yield f"  {option.name}{mark}: {', '.join(option.lines) or 'no lines of its own'}"
        yield from (f"      {line} as {fence}" for line, fence in option.fences)
        if option.note:
            yield f"      {option.note}"
    yield ""
    yield "Stages, in the order of building" if job.stages else "Stages: none"
    for stage in job.stages:
        year = f" ({stage.year})" if stage.year is not None else ""
        yield f"  {stage.name}{year}: {', '.join(stage.lines) or 'no lines'}"
        if stage.note:
            yield f"      {stage.note}"


def _told_terms(terms: QuoteTerms, currency: str) -> Iterator[str]:
    yield f"  Mark-up: {(terms.mark_up * 100).normalize():f} %"
    yield f"  Stands for: {terms.valid_days} days"
    yield from (f"  {name}: {text or '–'}" for name, text in (
        ("Materials", terms.supplies), ("Re-measure", terms.remeasure), ("Payment", terms.payment)))
    for name, texts in (("Included", terms.inclusions), ("Left out", terms.exclusions), ("Duties", terms.duties)):
        yield f"  {name}:{'' if texts else ' nothing'}"
        yield from (f"    - {text}" for text in texts)
    if terms.rates:
        yield "  A person-hour of:"
        yield from (f"    - {name}: {money_text(rate, currency)}" for name, rate in terms.rates)
    if terms.multipliers:
        yield "  Takes longer:"
        yield from (f"    - {one.component}{f', {one.ground}' if one.ground else ''}: {one.factor:g} times"
                    for one in terms.multipliers)
    yield f"  Extras, before tax:{'' if terms.extras else ' none'}"
    yield from (f"    - {extra.what}, a unit of {extra.unit}: "
                + ("to be agreed" if extra.price is None else money_text(extra.price, currency))
                for extra in terms.extras)
