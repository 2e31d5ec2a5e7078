"""``strainwright clearances``: what has to be settled before the first post, written down and listed."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from planner.commands.bar import Watched
from planner.errors import BadSetting, JobTrouble
from planner.files.job_file import read_job, state_of, write_job
from planner.job.derive import plan_job
from planner.job.edits import DropClearance, KeepClearance
from planner.job.job import Job
from planner.job.plan import JobPlan
from planner.surroundings.before_start import ISSUED, held_back_by
from planner.surroundings.clearances import KINDS, Clearance
from planner.upkeep.typed import day_gone_by, typed_day


def run(chosen: argparse.Namespace) -> int:
    """Writes down how one thing stands, when one is named, and lists all.

    Args:
        chosen: Parsed words: ``job``, ``add``, ``settle``, ``about``, ``on``, ``until``, ``number``, ``not_needed``,
            ``note``, ``take_back``, ``issue``, ``quiet``.

    Returns:
        0.

    Raises:
        PlannerError: The job cannot be opened, planned or written, a date is none, or what is named is not known.
    """
    was = state_of(chosen.job)
    job = read_job(chosen.job)
    after = _written_down(job, chosen)
    with Watched(quiet=chosen.quiet) as progress:
        if chosen.issue:
            _check_issue(plan_job(job, today=day_gone_by(chosen.on, "--on")))
        plan = plan_job(after, progress=progress)
    if after is not job:
        write_job(chosen.job, after, was=was)
    print(told(plan))
    return 0


def _check_issue(plan: JobPlan) -> None:
    """Stops what is held back from being issued: else it would count as issued, unseen, once the rest is settled."""
    held = held_back_by(plan.before_start, plan.findings)
    if held:
        raise JobTrouble(f"it cannot be issued for build: {'; '.join(held)}",
                         remedy="settle or mend that first, then issue it")


def told(plan: JobPlan) -> str:
    """The list as a person reads it on a terminal.

    Args:
        plan: The plan of the job.
    """
    rows = []
    for item in plan.before_start:
        said = item.clearance
        facts = [item.state, *([f"since {said.settled}"] if said and said.settled else []),
                 *([f"until {said.expires}"] if said and said.expires else []),
                 *([said.not_needed] if said and said.not_needed else []),
                 *([said.reference] if said and said.reference else [])]
        about = f" ({item.about})" if item.about else ""
        rows.append(f"{'done' if item.holds else 'OPEN':<6}{item.kind:<12}{item.what}{about}: {', '.join(facts)}"
                    + (f"\n{'':18}{item.why}" if item.why else ""))
    held = held_back_by(plan.before_start, plan.findings)
    if plan.issued is not None:
        rows.append(f"Issued for build on {plan.issued.settled}{_by(plan.issued)}.")
    elif held:
        rows.append("Not issued for build: " + "; ".join(held) + ".")
    else:
        rows.append("Nothing holds it back; 'strainwright clearances JOB --issue NAME' issues it for build.")
    return "\n".join(rows)


def _by(issued: Clearance) -> str:
    return f" by {issued.reference}" if issued.reference else ""


def _written_down(job: Job, chosen: argparse.Namespace) -> Job:
    asked = [name for name in ("add", "settle", "not_needed", "take_back", "issue") if getattr(chosen, name)]
    if len(asked) > 1:
        raise BadSetting(f"--{asked[0].replace('_', '-')} and --{asked[1].replace('_', '-')} were both said",
                         remedy="say one at a time")
    if chosen.take_back:
        return DropClearance(chosen.take_back, chosen.about).apply(job)
    if chosen.issue:
        return KeepClearance(Clearance(ISSUED, settled=day_gone_by(chosen.on, "--on") or date.today(),
                                       reference=chosen.issue, note=chosen.note)).apply(job)
    if chosen.add:
        return KeepClearance(Clearance(chosen.add, chosen.about, note=chosen.note)).apply(job)
    if not asked:
        return job
    kind = _known(chosen.settle or chosen.not_needed, [*KINDS, *(c.kind for c in job.clearances)])
    made = Clearance(kind, chosen.about, note=chosen.note, reference=chosen.number)
    if chosen.not_needed:
        if not chosen.note:
            raise BadSetting(f"'{kind}' is not said why it is not needed", remedy="say it with --note")
        return KeepClearance(replace(made, not_needed=chosen.note, note="")).apply(job)
    settled, until = day_gone_by(chosen.on, "--on") or date.today(), typed_day(chosen.until, "--until")
    if until is not None and until < settled:
        raise BadSetting(f"{until} is before {settled}", where="--until", remedy="give the last day on which it holds")
    return KeepClearance(replace(made, settled=settled, expires=until)).apply(job)


def _known(kind: str, kinds: Sequence[str]) -> str:
    if kind not in kinds:
        raise BadSetting(f"there is nothing to settle called '{kind}'",
                         remedy=f"use one of {', '.join(dict.fromkeys(kinds))}")
    return kind
