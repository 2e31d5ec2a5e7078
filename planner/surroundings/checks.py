"""Every check of what surrounds the fences, in the order in which they are asked."""

from __future__ import annotations

from collections.abc import Callable

from planner.findings import Finding
from planner.surroundings.boundary_checks import check_boundaries
from planner.surroundings.clearing_checks import check_clearing
from planner.surroundings.electric_checks import check_electric
from planner.surroundings.flood_checks import check_floods
from planner.surroundings.gate_checks import check_gates
from planner.surroundings.ground_checks import check_ground
from planner.surroundings.haul_checks import check_haul
from planner.surroundings.network_checks import check_network_of_fences
from planner.surroundings.old_fence_checks import check_old_fences
from planner.surroundings.paddock_checks import check_paddocks
from planner.surroundings.register_checks import check_register
from planner.surroundings.service_checks import check_services
from planner.surroundings.shape_checks import check_shapes
from planner.surroundings.situation import Situation
from planner.surroundings.tree_checks import check_trees
from planner.surroundings.water_checks import check_water

Check = Callable[[Situation], list[Finding]]
CHECKS: tuple[Check, ...] = (
    check_ground, check_electric, check_network_of_fences, check_paddocks, check_gates, check_shapes,
    check_boundaries, check_register, check_water, check_floods, check_services, check_clearing, check_trees,
    check_old_fences, check_haul)
"""Each stands in a module of its own, ``<topic>_checks``, which lists its rules in ``RULES``."""


def check_surroundings(situation: Situation) -> list[Finding]:
    """What about the surroundings of a job's fences is worth a look before a post goes in.

    Args:
        situation: The situation.
    """
    return [finding for check in CHECKS for finding in check(situation)]
