"""``strainwright log``: what is written down once the work began: progress, what was built, inspections, losses."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import replace
from datetime import date

from planner.commands.bar import Watched
from planner.commands.check import told as findings_told
from planner.errors import BadSetting, JobTrouble
from planner.files.as_built_in import as_built_from
from planner.files.derived_layers import derived_layers
from planner.files.job_file import read_job, state_of, write_job
from planner.findings import Finding
from planner.job.after import AfterPlan, after_plan
from planner.job.derive import plan_job
from planner.job.edits import ChangeRecords
from planner.job.job import Job
from planner.job.plan import JobPlan
from planner.upkeep.records import COMPONENTS, Built, Inspection, Loss, Progress, Records
from planner.upkeep.typed import day_gone_by, typed_money, typed_number

_OVER_M = 5.0
"""How far beyond a line's end a loss may be measured and still be its whole rest. [m] Common practice, no source."""


def run(chosen: argparse.Namespace) -> int:
    """Writes one thing down, when one is given, and lists what follows from all.

    Args:
        chosen: Parsed words: ``job``, ``what`` and its own, ``quiet``.

    Returns:
        0.

    Raises:
        PlannerError: The job cannot be opened, planned or written, or what is given makes no sense.
    """
    was = state_of(chosen.job)
    job = read_job(chosen.job)
    findings: tuple[Finding, ...] = ()
    after = job
    if chosen.what == "measured":
        found = as_built_from(job, chosen.files, line=_line(job, chosen.line) if chosen.line else "",
                              on=day_gone_by(chosen.on, "--on"), stated=chosen.crs, accuracy=chosen.accuracy or None)
        findings = found.findings
        kept = replace(job.records, as_built=(*job.records.as_built, *found.records))
        after = ChangeRecords(kept).apply(job)
    elif chosen.what:
        after = ChangeRecords(_WRITERS[chosen.what](job, chosen)).apply(job)
    with Watched(quiet=chosen.quiet) as progress:
        plan = plan_job(after, progress=progress)
    _check_place(plan, chosen)
    if after is not job:
        write_job(chosen.job, after, derived_layers(plan), was=was)
    told = [f for f in (*findings, *plan.findings) if f in findings or f.rule.startswith("built-")]
    if told:
        print(findings_told(tuple(told)))
    print(after_told(after_plan(plan), after.records))
    return 0


def _check_place(plan: JobPlan, chosen: argparse.Namespace) -> None:
    """Stops at a section that the line has not, and at a loss beyond its end."""
    line = next((one for one in plan.lines if chosen.what and one.line.name == chosen.line), None)
    if line is None:
        return
    section, known = getattr(chosen, "section", ""), [one.id for one in line.sections]
    if section and section not in known:
        raise JobTrouble(f"'{line.line.name}' has no section '{section}'", remedy=f"there is {', '.join(known)}")
    length = float(line.ground.chainage_m[-1])
    if chosen.what == "loss" and float(chosen.end) > length + _OVER_M:
        raise JobTrouble(f"loss to {chosen.end} m, but '{line.line.name}' is {length:.1f} m long", where="--to",
                         remedy="give where it ends along the line")


def after_told(found: AfterPlan, records: Records) -> str:
    """What follows from the records, as a person reads it on a terminal.

    Args:
        found: What follows.
        records: The records.
    """
    work = found.work
    rows = ["Done: " + ", ".join(f"{part} {100.0 * share:.0f} %" for part, share in zip(
        COMPONENTS, work.shares, strict=True)) + f"; {work.finished_m:.1f} of {work.total_m:.1f} m finished."]
    rows += [f"Built: '{s.name}' along {s.line} from {s.from_m:.0f} to {s.to_m:.0f} m, {s.planned_slope_m:.1f} m along "
             f"the line"
             + (f", {s.measured_slope_m:.1f} m as measured" if s.measured_slope_m else "")
             + f"; off by {s.mean_off_m:.1f} m on the mean, {s.greatest_off_m:.1f} m at most."
             for s in found.measured.stretches]
    rows += [f"{i.on} {i.line}{f' {i.section}' if i.section else ''}: {i.found or 'nothing wrong'}"
             + (f"; {i.action}{' (done)' if i.done else ' (to do)'}" if i.action else "")
             + (f"; {i.far_end_kv:g} kV at the far end" if i.far_end_kv is not None else "")
             + (f"; floodgates: {i.floodgate}" if i.floodgate else "") for i in records.inspections]
    rows += [f"Stands: {a.name}, {a.kind}, {a.length_m:.0f} m"
             + (f", built {a.built}" if a.built else "") + (f", {a.age_years:.0f} years old" if a.age_years else "")
             + (f", cost {a.cost:,.2f}" if a.cost is not None else "")
             + (f", {a.value:,.2f} left" if a.value is not None else "")
             + (f"; {a.condition}" if a.condition else "") for a in found.assets]
    rows += [f"Lost {r.loss.on} to {r.loss.cause}: {r.loss.line} from {r.loss.from_m:.0f} to {r.loss.to_m:.0f} m, "
             f"{r.length_m:.0f} m" + (f", new {r.cost:,.2f}" if r.cost is not None else "")
             + (f", worth {r.value:,.2f} at the event" if r.value is not None else "")
             + (f"; photos: {r.loss.photos}" if r.loss.photos else "; NO PHOTOS written down: take them before repair")
             for r in found.losses]
    return "\n".join(rows)


def _progress(job: Job, chosen: argparse.Namespace) -> Records:
    if chosen.part not in COMPONENTS:
        raise BadSetting(f"there is no part of the work '{chosen.part}'", remedy=f"use one of {', '.join(COMPONENTS)}")
    percent = typed_number(chosen.percent, "percent", low=0.0, high=100.0)
    made = Progress(_line(job, chosen.line), chosen.section, chosen.part, percent / 100.0,
                    day_gone_by(chosen.on, "--on") or date.today(), chosen.note)
    return replace(job.records, progress=(*job.records.progress, made))


def _inspection(job: Job, chosen: argparse.Namespace) -> Records:
    made = Inspection(
        _line(job, chosen.line), chosen.section, day_gone_by(chosen.on, "--on") or date.today(), chosen.by,
        chosen.found, chosen.action, chosen.done, typed_money(chosen.cost, "--cost"),
        typed_number(chosen.kv, "--kv", low=0.0, high=20.0) if chosen.kv else None, chosen.floodgate)
    return replace(job.records, inspections=(*job.records.inspections, made))


def _loss(job: Job, chosen: argparse.Namespace) -> Records:
    standing = [f.name for f in job.features if f.meaning == "existing fence"]
    made = Loss(
        line=chosen.line if chosen.line in standing else _line(job, chosen.line),
        from_m=typed_number(chosen.start, "--from", low=0.0, high=1e7),
        to_m=typed_number(chosen.end, "--to", low=0.0, high=1e7), on=day_gone_by(chosen.on, "--on") or date.today(),
        cause=chosen.cause, photos=chosen.photos,
        hours=typed_number(chosen.hours, "--hours", low=0.0, high=1e6) if chosen.hours else 0.0, note=chosen.note)
    return replace(job.records, losses=(*job.records.losses, made))


def _finished(job: Job, chosen: argparse.Namespace) -> Records:
    name = _line(job, chosen.line)
    made = Built(name, day_gone_by(chosen.on, "--on") or date.today(), typed_money(chosen.cost, "--cost"),
                 typed_number(chosen.life, "--life", low=1.0, high=100.0) if chosen.life else None)
    done = Progress(name, "", "finished", 1.0, made.on)
    return replace(job.records, built=(*(b for b in job.records.built if b.line != name), made),
                   progress=(*job.records.progress, done))


_WRITERS: dict[str, Callable[[Job, argparse.Namespace], Records]] = {
    "progress": _progress, "inspection": _inspection, "loss": _loss, "finished": _finished}


def _line(job: Job, name: str) -> str:
    if all(line.name != name for line in job.lines):
        raise JobTrouble(f"there is no line '{name}'",
                         remedy=f"there is {', '.join(line.name for line in job.lines) or 'none'}")
    return name
