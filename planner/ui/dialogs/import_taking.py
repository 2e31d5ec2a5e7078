"""What the things of a file are taken as in the import, and what of their facts does not fit. No widgets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from planner.findings import Finding
from planner.survey.feature_meanings import BY_KEY
from planner.survey.features_in import Taking, Thing, features_of, things
from planner.survey.fixes import Reading
from planner.survey.meaning_words import guessed_columns
from planner.ui.dialogs.import_choices import Choices
from planner.ui.dialogs.import_facts import FactRow

MOST_TRIED = 20_000
"""Things of a file whose facts are tried while a person chooses; of more, what does not fit is noted in the job."""


def counts(readings: Sequence[Reading], choices: Choices) -> tuple[int, int, int]:
    """How many fence lines, things on the ground and survey points would be brought in.

    Args:
        readings: What the files gave.
        choices: What a person chose.
    """
    fences = survey = 0
    rows: set[tuple[str, str, int]] = set()
    standing = 0
    for reading in readings:
        for line in reading.lines:
            role = choices.role_of(line)
            fences += role == "fence"
            if role not in ("fence", "none"):
                rows.add((line.file, dict(line.attributes).get("layer", ""), line.row))
        for point in reading.points:
            role = choices.point_role_of(point)
            survey += role == "survey"
            standing += role not in ("survey", "none")
    return fences, len(rows) + standing, survey


def taken_as(reading: Reading, choices: Choices) -> dict[str, tuple[Thing, ...]]:
    """The things of a file that are taken as features, by their meaning.

    Args:
        reading: What the file gave.
        choices: What a person chose.
    """
    found: dict[str, tuple[Thing, ...]] = {}
    for role in choices.meanings_in(reading):
        part = choices.part_of(reading, role)
        found[role] = things(part.lines, part.points)
    return found


def fact_rows(taken: dict[str, tuple[Thing, ...]], choices: Choices) -> tuple[list[FactRow], dict[str, list[str]]]:
    """The facts of each meaning in a file with their columns, and the columns that there are.

    Args:
        taken: Meaning to its things.
        choices: What a person chose.
    """
    rows: list[FactRow] = []
    columns: dict[str, list[str]] = {}
    for meaning, mine in taken.items():
        known = BY_KEY[meaning]
        columns[meaning] = list(dict.fromkeys(key for thing in mine for key, _ in thing.attributes))
        if not known.facts or not columns[meaning]:
            continue
        chosen = {**guessed_columns(meaning, columns[meaning]), **choices.columns_of(mine[0].file, meaning)}
        wrong = [finding.message for finding in _tried(mine, meaning, choices)]
        for fact in known.facts:
            column = chosen.get(fact.key, "")
            sample = next((value for thing in mine for key, value in thing.attributes if key == column), "")
            rows.append(FactRow(meaning, fact, column, sample if column else "",
                                sum(text.startswith(f"{fact.label} of '") for text in wrong)))
    return rows, columns


def misfits(taken: dict[str, tuple[Thing, ...]], choices: Choices) -> tuple[Finding, ...]:
    """What does not fit of the things of a file, row by row.

    Args:
        taken: Meaning to its things.
        choices: What a person chose.
    """
    return tuple(finding for meaning, mine in taken.items() for finding in _tried(mine, meaning, choices))


def _tried(mine: Sequence[Thing], meaning: str, choices: Choices) -> tuple[Finding, ...]:
    if not mine or len(mine) > MOST_TRIED:
        return ()
    how = Taking(meaning, choices.columns_of(mine[0].file, meaning))
    return features_of(mine, lambda _: how).findings


def with_column(choices: Choices, file: str, meaning: str, fact: str, column: str) -> Choices:
    """The choices with another column for a fact.

    Args:
        choices: What a person chose.
        file: The file.
        meaning: Key of the meaning.
        fact: Key of the fact.
        column: Name of the column; empty for none.
    """
    mine = {**choices.columns_of(file, meaning), fact: column}
    return replace(choices, columns={**choices.columns, (file, meaning): mine})
