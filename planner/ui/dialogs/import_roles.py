"""What each line and point of a file is taken as: a fence to be built, something on the ground, or nothing."""

from __future__ import annotations

import re
from typing import TypeAlias

from planner.survey.feature_meanings import MEANINGS
from planner.survey.features_in import coded_meaning, things
from planner.survey.fixes import MeasuredLine, MeasuredPoint
from planner.survey.meaning_words import guessed_meaning

Role: TypeAlias = str
"""``fence``, ``survey``, ``none``, or the key of a meaning."""
ROLES: tuple[tuple[Role, str], ...] = (
    ("fence", "fence to build"),
    *((meaning.key, meaning.label.lower()) for meaning in MEANINGS if meaning.shapes != ("point",)),
    ("none", "leave out"))
"""Roles of lines and what they are called."""
POINT_ROLES: tuple[tuple[Role, str], ...] = (
    ("survey", "survey point"),
    *((meaning.key, meaning.label.lower()) for meaning in MEANINGS if "point" in meaning.shapes),
    ("none", "leave out"))
"""Roles of points and what they are called."""
_TO_BE_BUILT = ("boundary", "paddock")
"""Meanings whose lines are mostly brought in to be fenced."""
_STANDS = re.compile(r"\b(?:old|existing|standing)\b", re.IGNORECASE)


def usual_role(line: MeasuredLine) -> Role:
    """What a line most likely is, by its type, its layer, its name and its file; a fence where nothing tells.

    Args:
        line: The line.

    Example:
        >>> import numpy as np
        >>> usual_role(MeasuredLine("Tallow Creek", np.zeros((2, 2)), None, None, False, "polyline", "unknown", "a", 1))
        'water'
    """
    if line.kind == "track":
        return "fence"
    texts = things((line,), ())[0].texts
    for text in texts:
        meaning = guessed_meaning([text], "area" if line.closed else "line")
        if meaning == "existing fence" and not _STANDS.search(text):
            return "fence"
        if meaning:
            return "fence" if meaning in _TO_BE_BUILT else meaning
    return "fence"


def usual_point_role(point: MeasuredPoint) -> Role:
    """What a point most likely is, by its code; a survey point where that tells nothing.

    Args:
        point: The point.
    """
    return coded_meaning(point) or "survey"
