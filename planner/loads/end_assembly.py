"""Forces in end assemblies by statics. Advisory."""

from __future__ import annotations

import math
from dataclasses import dataclass

from planner.errors import OutOfRange
from planner.spec.end_assemblies import EndAssembly
from planner.spec.fence_type import FenceType
from planner.units import Metre, Newton


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


def box_forces(
    pull_n: Newton, *, pull_height_m: Metre, rail_height_m: Metre, brace_length_m: Metre,
) -> AssemblyForces:
    """Forces in a box end: two posts, a rail between them, and a brace wire from the foot of the end post upwards.

    Posts are taken as hinged at the ground, so that the bracing carries everything: a fixed post takes some of it, and
    the forces are then smaller. A longer box lifts its end post less and thrusts its rail the same.

    Args:
        pull_n: Pull of all the wires in one direction. [N]
        pull_height_m: Height at which it acts. [m]
        rail_height_m: Height of the rail. [m] Above zero.
        brace_length_m: Distance between the posts. [m] Above zero.

    Returns:
        Thrust of the rail P y / h, tension of the brace wire, uplift of the end post P y / L.

    Raises:
        OutOfRange: Rail height or length is not above zero.

    Source:
        Statics of a pin-jointed frame. Checked in tests/validation/test_statics_of_ends.py.

    Example:
        >>> box_forces(12_000.0, pull_height_m=0.6, rail_height_m=1.0, brace_length_m=2.4).uplift_n
        3000.0
    """
    _must_have_size(rail_height_m, brace_length_m)
    rail = pull_n * pull_height_m / rail_height_m
    return AssemblyForces(
        rail, rail * math.hypot(1.0, rail_height_m / brace_length_m), pull_n * pull_height_m / brace_length_m)


def stay_forces(
    pull_n: Newton, *, pull_height_m: Metre, rail_height_m: Metre, brace_length_m: Metre,
) -> AssemblyForces:
    """Forces in a stayed end: one post and a diagonal stay that props it from the side of the pull.

    The post is taken as hinged at the ground, and the foot of the stay as free to slide along the line on its pad,
    held by the post's foot.

    Args:
        pull_n: Pull of all the wires in one direction. [N]
        pull_height_m: Height at which it acts. [m]
        rail_height_m: Height at which the stay meets the post. [m] Above zero.
        brace_length_m: Distance along the ground from the post to the foot of the stay. [m] Above zero.

    Returns:
        Thrust along the stay, no brace wire, uplift of the post P y / b.

    Raises:
        OutOfRange: Height or length is not above zero.

    Source:
        Statics of a pin-jointed frame. Checked in tests/validation/test_statics_of_ends.py.

    Example:
        >>> stay_forces(12_000.0, pull_height_m=0.6, rail_height_m=1.0, brace_length_m=3.0).uplift_n
        2400.0
    """
    _must_have_size(rail_height_m, brace_length_m)
    level_thrust = pull_n * pull_height_m / rail_height_m
    return AssemblyForces(level_thrust * math.hypot(1.0, rail_height_m / brace_length_m), 0.0,
                          pull_n * pull_height_m / brace_length_m)


def assembly_forces(fence: FenceType, assembly: EndAssembly) -> AssemblyForces:
    """Forces in an end assembly under the full pull of a fence from one direction. Advisory.

    A box of several spans in a row: the rails are stiff beside the wires, so the tops of all its posts move together,
    every brace wire takes the same share, and the end post is lifted by its own span's share alone; the first rail
    still thrusts in full. Several diagonal stays share the thrust equally, and lift the one post they lean on as much
    as one would. A post alone, and a temporary end, have no bracing and so no such forces.

    Args:
        fence: The fence type that pulls.
        assembly: The end assembly.

    Returns:
        Greatest rail or stay thrust, greatest brace wire tension, uplift of the end post.

    Raises:
        OutOfRange: A braced assembly has no rail height, no length or no span.

    Source:
        Statics; the equal shares agree with the advice that a second brace takes half the load (McKenzie and Currier,
        USDA San Dimas). Checked in tests/validation/test_statics_of_ends.py.
    """
    if assembly.form in ("post", "hand"):
        return AssemblyForces(0.0, 0.0, 0.0)
    if assembly.spans < 1:
        raise OutOfRange("a braced end needs at least one span", where=f"end assembly '{assembly.key}'",
                         remedy="correct its spans")
    forces = box_forces if assembly.form == "box" else stay_forces
    one = forces(fence.pull_n, pull_height_m=fence.pull_height_m, rail_height_m=assembly.rail_height_m,
                 brace_length_m=assembly.brace_length_m)
    if assembly.form == "box":
        return AssemblyForces(one.rail_n, one.brace_wire_n / assembly.spans, one.uplift_n / assembly.spans)
    return AssemblyForces(one.rail_n / assembly.spans, 0.0, one.uplift_n)


def _must_have_size(rail_height_m: Metre, brace_length_m: Metre) -> None:
    if rail_height_m <= 0.0 or brace_length_m <= 0.0:
        raise OutOfRange(f"a brace {brace_length_m:g} m long at {rail_height_m:g} m height braces nothing",
                         remedy="give both above zero")
