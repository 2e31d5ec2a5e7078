"""Every check of what surrounds the fences, in the order in which they are asked."""

from __future__ import annotations

from collections.abc import Callable

from planner.findings import Finding
from planner.surroundings.electric_checks import check_electric
from planner.surroundings.gate_checks import check_gates
from planner.surroundings.ground_checks import check_ground
from planner.surroundings.network_checks import check_network_of_fences
from planner.surroundings.paddock_checks import check_paddocks
from planner.surroundings.shape_checks import check_shapes
from planner.surroundings.situation import Situation

Check = Callable[[Situation], list[Finding]]
CHECKS: tuple[Check, ...] = (
    check_ground, check_electric, check_network_of_fences, check_paddocks, check_gates, check_shapes)
"""Each stands in a module of its own, ``<topic>_checks``, which lists its rules in ``RULES``."""


def check_surroundings(situation: Situation) -> list[Finding]:
    """What about the surroundings of a job's fences is worth a look before a post goes in.

    Args:
        situation: The situation.
    """
    return [finding for check in CHECKS for finding in check(situation)]
