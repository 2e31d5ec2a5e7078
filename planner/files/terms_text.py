"""The words of a terms file: every entry of quote terms, options and stages, with comments that explain it."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from decimal import Decimal

from planner.files.writers.texts import one_line
from planner.job.job import Job
from planner.job.quote_terms import QuoteTerms
from planner.materials.labour import COMPONENTS
from planner.spec.catalogue import Catalogue

_WIDE = 100


def terms_text(job: Job, catalogue: Catalogue) -> str:
    """Terms, options and stages of a job as commented TOML; read back, it changes nothing.

    Args:
        job: The job.
        catalogue: Fence types and ground classes that it can speak of.
    """
    parts = [
        _comment(f"Terms of the quote, options and stages of {one_line(job.name)}."),
        _comment("Change it, then take it in with: strainwright terms JOB --read THIS-FILE"),
        _comment("[terms], options and stages that are not in the file stay as the job has them; those that are take "
                 "the place of all that were there. To drop every option, write options = [] here, above [terms]; "
                 "so too for stages."),
        _comment("The texts are defaults of common practice and no legal advice. Hours and rates leave nobody's "
                 "safety out: time for service enquiries, overhead lines and working clear of strained wire belongs "
                 "in them. Local codes, licensed surveyors and engineers go before this file."),
        "",
        *_choice(job),
        *_terms(job.terms, job.settings.currency, catalogue),
        *_options(job, catalogue),
        *_stages(job),
    ]
    return "\n".join(parts) + "\n"


def _choice(job: Job) -> Iterable[str]:
    if job.options:
        yield _comment("The option that is to be built; with \"\" it is the first.")
        yield f"chosen_option = {_text(job.option)}"
        yield ""


def _terms(terms: QuoteTerms, currency: str, catalogue: Catalogue) -> Iterable[str]:
    yield "[terms]"
    yield _comment("Share added to materials and labour before tax: 0.15 is 15 %. Tax itself is the setting tax_rate.")
    yield f"mark_up = {_amount(terms.mark_up)}"
    yield _comment("Days from its date for which the quote stands.")
    yield f"valid_days = {terms.valid_days}"
    for name, means, text in (
            ("supplies", "Who supplies the materials.", terms.supplies),
            ("remeasure", "What happens when the finished length differs from the planned one.", terms.remeasure),
            ("payment", "When what is paid.", terms.payment)):
        yield from (_comment(means), f"{name} = {_text(text)}")
    for name, means, texts in (
            ("inclusions", "What the price includes, a sentence each.", terms.inclusions),
            ("exclusions", "What it leaves out, a sentence each.", terms.exclusions),
            ("duties", "Who sees to services, boundary, old fence, weather and access, a sentence each. Somebody must "
             "ask about underground services before a post goes in; do not strike that out.", terms.duties)):
        yield from (_comment(means), f"{name} = {_list(texts, across=False)}")
    for name in ("multipliers", "extras"):
        if not getattr(terms, name):
            yield from (_comment(f"None; to have some, strike the next line out and write [[terms.{name}]] as below."),
                        f"{name} = []")
    yield ""
    yield _comment(f"What a person-hour of one component costs, {currency} before mark-up and tax. What is not named "
                   f"goes at the price of labour in the price list. Components: {', '.join(COMPONENTS)}.")
    yield "[terms.rates]"
    yield from (f"{_text(name)} = {_amount(rate)}" for name, rate in terms.rates)
    yield ""
    yield from _multipliers(terms, catalogue)
    yield from _extras(terms, currency)


def _multipliers(terms: QuoteTerms, catalogue: Catalogue) -> Iterable[str]:
    grounds = "; ".join(f"{key} ({ground.description})" for key, ground in catalogue.grounds.items())
    yield _comment("How many times longer a component takes, above 0 and up to 20. With a ground class it stands in "
                   "place of that class's own factor; without one it falls on the whole component on top of that, "
                   f"as where no vehicle can go. Ground classes: {grounds}.")
    if not terms.multipliers:
        yield from _example("[[terms.multipliers]]", 'component = "steel line posts"', 'ground = "ledge"',
                            "factor = 3.0")
    for one in terms.multipliers:
        yield "[[terms.multipliers]]"
        yield f"component = {_text(one.component)}"
        if one.ground:
            yield f"ground = {_text(one.ground)}"
        yield f"factor = {one.factor!r}"
        yield ""


def _extras(terms: QuoteTerms, currency: str) -> Iterable[str]:
    yield _comment(f"What may come up, at a rate: {currency} before tax, mark-up included. Without a price it is still "
                   "to be agreed.")
    if not terms.extras:
        yield from _example("[[terms.extras]]", 'what = "Rock drill with operator"', 'unit = "h"', "price = 120.00")
    for extra in terms.extras:
        yield "[[terms.extras]]"
        yield f"what = {_text(extra.what)}"
        yield f"unit = {_text(extra.unit)}"
        if extra.price is not None:
            yield f"price = {_amount(extra.price)}"
        yield ""


def _options(job: Job, catalogue: Catalogue) -> Iterable[str]:
    lines = ", ".join(one_line(line.name) for line in job.lines)
    yield _comment("Options: ways to build the job, of which one will be. \"lines\" names the lines that only options "
                   "hold and this one does; a line that no option names is built whichever is chosen. \"fences\" says "
                   "which line carries another fence type than its own here. \"life_years\" says how long it is "
                   "expected to stand, where that is not what its fence types say.")
    yield _comment(f"Lines of this job: {lines or 'none'}.")
    yield _comment(f"Fence types: {', '.join(catalogue.fences)}.")
    if not job.options:
        name = _text(job.lines[0].name if job.lines else "Creek")
        yield from _example("[[options]]", 'name = "Plain wire"', 'note = "Lets floods through."', f"lines = [{name}]",
                            f"fences = {{ {name} = {_text(next(iter(catalogue.fences)))} }}")
    for option in job.options:
        yield "[[options]]"
        yield f"name = {_text(option.name)}"
        if option.note:
            yield f"note = {_text(option.note)}"
        yield f"lines = {_list(option.lines, across=True)}"
        if option.life_years is not None:
            yield f"life_years = {option.life_years!r}"
        if option.fences:
            yield "fences = { " + ", ".join(f"{_text(line)} = {_text(fence)}" for line, fence in option.fences) + " }"
        yield ""


def _stages(job: Job) -> Iterable[str]:
    yield _comment("Stages, in the order in which they are built. A line belongs to one of them; the year may be left "
                   "out. 'strainwright check' says which ends an earlier stage must leave ready for a later one.")
    if not job.stages:
        name = _text(job.lines[0].name if job.lines else "Creek")
        yield from _example("[[stages]]", 'name = "Stock off the creek first"', "year = 2027", f"lines = [{name}]",
                            'note = "Grant ends in June."')
    for stage in job.stages:
        yield "[[stages]]"
        yield f"name = {_text(stage.name)}"
        if stage.year is not None:
            yield f"year = {stage.year}"
        if stage.note:
            yield f"note = {_text(stage.note)}"
        yield f"lines = {_list(stage.lines, across=True)}"
        yield ""


def _example(*rows: str) -> Iterable[str]:
    yield "# as:"
    yield from (f"#   {row}" for row in rows)
    yield ""


def _comment(text: str) -> str:
    rows, row = [], "#"
    for word in text.split():
        if len(row) + 1 + len(word) > _WIDE:
            rows.append(row)
            row = "#"
        row += f" {word}"
    return "\n".join((*rows, row))


def _text(text: str) -> str:
    """A text in quotes: the escapes of JSON are those of TOML, but for the delete character."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _amount(amount: Decimal) -> str:
    return format(amount, "f")


def _list(texts: Sequence[str], *, across: bool) -> str:
    if not texts:
        return "[]"
    if across:
        return "[" + ", ".join(_text(text) for text in texts) + "]"
    return "[\n" + "".join(f"  {_text(text)},\n" for text in texts) + "]"
