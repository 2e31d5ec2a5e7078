"""``strainwright features``: what stands around the fences, read into a job, listed and taken out of it."""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Sequence

from planner.commands.bar import Watched
from planner.commands.check import told
from planner.commands.job_in_hand import job_at
from planner.commands.words import columns_said
from planner.errors import BadSetting, JobTrouble
from planner.files.derived_layers import derived_layers
from planner.files.features_from import features_from
from planner.files.job_file import read_job, state_of, write_job
from planner.job.derive import plan_job
from planner.job.edits import RemoveFeature
from planner.job.job import Job
from planner.survey.feature_meanings import BY_KEY, checked_text, fact_of
from planner.survey.features import Feature
from planner.survey.features_in import Taking


def run(chosen: argparse.Namespace) -> int:
    """Reads features into a job, takes some out, or lists those it has.

    Args:
        chosen: Parsed words: ``sources``, ``job``, ``meaning``, ``fact``, ``set``, ``crs``, ``columns``, ``remove``,
            ``quiet``.

    Returns:
        0.

    Raises:
        PlannerError: A meaning, fact or value is not known, a file cannot be used, or the job cannot be opened or
            saved; it then stays as it was.
    """
    taking = taking_of(chosen.meaning, chosen.fact, chosen.set)
    was = state_of(chosen.job)
    if not chosen.sources and not chosen.remove:
        print(listed(read_job(chosen.job).features))
        return 0
    job = job_at(chosen.job) if chosen.sources else read_job(chosen.job)
    said: list[str] = []
    for name in chosen.remove:
        job, gone = _without(job, name)
        said.append(f"Taken out: {gone} called '{name}'.")
    with Watched(quiet=chosen.quiet) as progress:
        if chosen.sources:
            read = features_from(job, chosen.sources, taking, stated=chosen.crs, columns=columns_said(chosen.columns),
                                 progress=progress)
            job = read.job
            said += counted(read.added) if read.added or not read.changed else []
            said += [f"{len(read.changed)} were in the job already and have the facts that were read now."] \
                if read.changed else []
            said += [f"{read.known} were in the job already and were not added again."] if read.known else []
            said += [told(read.findings)] if read.findings else []
        write_job(chosen.job, job, derived_layers(plan_job(job)), was=was)
    print("\n".join(said))
    return 0


def taking_of(meaning: str, columns: Sequence[str], given: Sequence[str]) -> Taking:
    """How features are taken, from the words of the command line.

    Args:
        meaning: Key or label of a meaning; empty for what the files suggest.
        columns: ``FACT=COLUMN`` each.
        given: ``FACT=VALUE`` each.

    Raises:
        BadSetting: A meaning or fact is not known, or a value does not fit.
    """
    key = _meaning(meaning)
    by_column = dict(_pair(text, "--fact", "FACT=COLUMN") for text in columns)
    by_value = dict(_pair(text, "--set", "FACT=VALUE") for text in given)
    for name in (*by_column, *by_value):
        asked = [BY_KEY[key]] if key else list(BY_KEY.values())
        if all(fact_of(known.key, name) is None for known in asked):
            facts = dict.fromkeys(fact.key for known in asked for fact in known.facts)
            raise BadSetting(f"'{key}' knows no fact '{name}'" if key else f"there is no fact '{name}'",
                             remedy=f"use one of {', '.join(facts)}" if facts else "leave it out")
    checked = {name: checked_text(fact, value) if key and (fact := fact_of(key, name)) else value
               for name, value in by_value.items()}
    return Taking(key, by_column, checked)


def listed(features: Sequence[Feature]) -> str:
    """The features of a job, one line each.

    Args:
        features: The features.
    """
    if not features:
        return "No features. 'strainwright features SOURCE --job JOB' reads some."
    rows = []
    for feature in features:
        known = BY_KEY.get(feature.meaning)
        facts = [f"{fact.label.lower()} {feature.fact(fact.key)}{f' {fact.unit}' if fact.unit else ''}"
                 for fact in (known.facts if known else ()) if feature.fact(fact.key)]
        rows.append((feature.meaning, feature.name, ", ".join(facts)))
    wide = [max(len(row[i]) for row in rows) for i in (0, 1)]
    return "\n".join(f"{meaning:<{wide[0]}}  {name:<{wide[1]}}  {facts}".rstrip() for meaning, name, facts in rows)


def counted(features: Sequence[Feature]) -> list[str]:
    """How many of each meaning there are, one sentence each.

    Args:
        features: Features that were read.
    """
    count = Counter(feature.meaning for feature in features)
    told = [f"{BY_KEY[key].label}: {number} read. {BY_KEY[key].means}" if key in BY_KEY else f"{key}: {number} read."
            for key, number in count.items()]
    return told or ["Nothing new."]


def _meaning(text: str) -> str:
    said = text.strip().casefold()
    if not said:
        return ""
    found = next((m.key for m in BY_KEY.values() if said in (m.key.casefold(), m.label.casefold())), "")
    if not found:
        raise BadSetting(f"there is no meaning '{text}'", where="--meaning",
                         remedy=f"use one of {', '.join(BY_KEY)}")
    return found


def _pair(text: str, option: str, shape: str) -> tuple[str, str]:
    name, sign, value = text.partition("=")
    if not sign or not name.strip():
        raise BadSetting(f"'{text}' is no {shape}", where=option, remedy=f"write it as {shape}")
    return name.strip(), value.strip()


def _without(job: Job, name: str) -> tuple[Job, int]:
    gone = [feature for feature in job.features if feature.name == name]
    if not gone:
        some = ", ".join(f"'{feature.name}'" for feature in job.features[:8])
        raise JobTrouble(f"no feature is called '{name}'", where="--remove",
                         remedy=f"use one of {some}" if some else "the job has none")
    for feature in gone:
        job = RemoveFeature(feature).apply(job)
    return job, len(gone)
