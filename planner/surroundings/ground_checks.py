"""Areas of ground: whether their classes are known."""

from __future__ import annotations

from planner.findings import Finding, Place
from planner.surroundings.situation import Situation
from planner.survey.feature_meanings import choice_of
from planner.survey.features import Feature

RULES = {
    "ground-01": "the class of an area of ground that a fence runs through is a known one",
}


def check_ground(situation: Situation) -> list[Finding]:
    """Areas under fences whose ground class is not known, said once for each class.

    Args:
        situation: The situation.
    """
    unknown: dict[str, list[tuple[int, Feature]]] = {}
    for number, feature, _ in situation.around.near(situation.shapes, "ground", within_m=0.0):
        key = choice_of(feature, "class")
        if key not in situation.catalogue.grounds:
            unknown.setdefault(key, []).append((number, feature))
    return [_told(situation, key, met) for key, met in unknown.items()]


def _told(situation: Situation, key: str, met: list[tuple[int, Feature]]) -> Finding:
    names = list(dict.fromkeys(feature.name for _, feature in met))
    lines = list(dict.fromkeys(situation.lines[number].line.name for number, _ in met))
    more = f" and {len(names) - 1} more" if len(names) > 1 else ""
    return Finding(
        "ground-01", "warning", f"Ground class '{key}' of '{names[0]}'{more} is not known: posts of "
        f"{', '.join(lines[:3])}{f' and {len(lines) - 3} more lines' if len(lines) > 3 else ''} in it are counted as "
        "if nothing were said there.",
        f"Give it one of {', '.join(situation.catalogue.grounds)}.", Place(line=lines[0]))
