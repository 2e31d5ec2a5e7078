"""Forces in end assemblies by statics. Advisory."""

from __future__ import annotations

from dataclasses import dataclass

from planner.units import Newton


@dataclass(frozen=True, slots=True)
class AssemblyForces:
    """Forces in one end assembly under one direction of pull. Advisory.

    Attributes:
        rail_n: Thrust in the rail or stay. [N]
        brace_wire_n: Tension in the brace wire; 0 for a diagonal stay. [N]
        uplift_n: Force that lifts the end post. [N]
    """

    rail_n: Newton
    brace_wire_n: Newton
    uplift_n: Newton
