"""What each line of a file is taken as: a fence to be built, something on the ground, or nothing."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Literal

from planner.survey.fixes import MeasuredLine

Role = Literal["fence", "boundary", "water", "vegetation", "track", "service", "existing fence", "yard", "none"]
ROLES: tuple[tuple[Role, str], ...] = (
    ("fence", "fence to build"), ("boundary", "boundary"), ("water", "water"), ("vegetation", "vegetation"),
    ("track", "vehicle track"), ("service", "service"), ("existing fence", "fence that stands"), ("yard", "yard"),
    ("none", "leave out"))
"""Roles and what they are called."""
_WORDS: Mapping[Role, str] = {
    "water": r"creek|river|stream|brook|burn|drain|ditch|canal|dam|lake|pond|lagoon|water|watercourse|hydrography",
    "vegetation": r"bush|forest|wood|scrub|shelter ?belt|plantation|vegetation|timber",
    "track": r"road|vehicle track|driveway|access track",
    "service": r"power|pipe|cable|telephone|gas|sewer|water main|service",
    "existing fence": r"existing fence|old fence",
    "yard": r"yard",
}


def usual_role(line: MeasuredLine) -> Role:
    """What a line most likely is, by its name, its layer and its file; a fence where nothing tells.

    Args:
        line: The line.

    Example:
        >>> import numpy as np
        >>> usual_role(MeasuredLine("Tallow Creek", np.zeros((2, 2)), None, None, False, "polyline", "unknown", "a", 1))
        'water'
    """
    if line.kind == "track":
        return "fence"
    layer = dict(line.attributes).get("layer", "")
    said = " ".join((line.name, layer, Path(line.file).stem)).replace("_", " ").replace("-", " ").lower()
    for role, pattern in _WORDS.items():
        if re.search(rf"\b(?:{pattern})s?\b", said):
            return role
    return "fence"
