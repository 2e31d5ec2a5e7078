"""Every check of what surrounds the fences, in the order in which they are asked."""

from __future__ import annotations

from collections.abc import Callable

from planner.findings import Finding
from planner.surroundings.electric_checks import check_electric
from planner.surroundings.ground_checks import check_ground
from planner.surroundings.situation import Situation

Check = Callable[[Situation], list[Finding]]
CHECKS: tuple[Check, ...] = (check_ground, check_electric)
"""Each stands in a module of its own, ``<topic>_checks``, which lists its rules in ``RULES``."""


def check_surroundings(situation: Situation) -> list[Finding]:
    """What about the surroundings of a job's fences is worth a look before a post goes in.

    Args:
        situation: The situation.
    """
    return [finding for check in CHECKS for finding in check(situation)]
