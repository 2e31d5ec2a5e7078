"""Take-up: how far the wire comes in, where to set the clamp bar, and how many bites it takes."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from scipy.special import ellipe

from planner.errors import OutOfRange
from planner.loads.wire_tension import wire_of, wire_stretch
from planner.settings import Settings
from planner.spec.fence_type import FenceType
from planner.spec.items import Item
from planner.units import Metre


@dataclass(frozen=True, slots=True)
class Pull:
    """How to pull one section.

    Attributes:
        take_up_m: Greatest take-up of its sub-runs, each pulled once. [m]
        clamp_station_m: Distance from the end post at which to set the clamp bar. [m]
        bites: Bites of the chain strainers.
    """

    take_up_m: Metre
    clamp_station_m: Metre
    bites: int


def crimp_excess(amplitude_m: Metre, wave_m: Metre) -> Metre:
    """How much longer the wire of one crimp wave is than the wave: the arc of a sine less its chord.

    Args:
        amplitude_m: Half the height of the wave. [m] Zero for a straight wire.
        wave_m: Length of the wave. [m] Above zero.

    Returns:
        Excess length. [m]

    Raises:
        OutOfRange: The wave has no length, or the amplitude is below zero.

    Source:
        Exact arc length of a sine by the complete elliptic integral of the second kind (parameter m = k^2). Checked in
        tests/validation/test_sine_arc.py.

    Example:
        >>> round(crimp_excess(0.003, 0.040) * 1000, 4)
        2.1358
    """
    if wave_m <= 0.0 or amplitude_m < 0.0:
        raise OutOfRange("a crimp needs a wave length above zero and an amplitude of zero or more",
                         where=f"crimp of {amplitude_m * 1e3:g} mm on {wave_m * 1e3:g} mm", remedy="correct the mesh")
    k2 = (2.0 * math.pi * amplitude_m / wave_m) ** 2
    return 2.0 * wave_m / math.pi * math.sqrt(1.0 + k2) * float(ellipe(k2 / (1.0 + k2))) - wave_m


def crimp_released(amplitude_m: Metre, wave_m: Metre, *, left_share: float) -> Metre:
    """Length that one crimp gives when it is strained to a share of its depth.

    The wave is taken to keep its length, which understates the release by 1 to 3 % for ordinary crimps.

    Args:
        amplitude_m: Half the height of the wave before straining. [m]
        wave_m: Length of the wave. [m]
        left_share: Share of the depth left after straining, 0 to 1.

    Returns:
        Length released. [m]

    Raises:
        OutOfRange: The share is not from 0 to 1, or the crimp is not one.

    Source:
        Difference of two arcs; half the crimp left is common practice. Checked in tests/validation/test_sine_arc.py.

    Example:
        >>> round(crimp_released(0.003, 0.040, left_share=0.5) * 1000, 4)
        1.5863
    """
    if not 0.0 <= left_share <= 1.0:
        raise OutOfRange(f"{left_share:g} is not a share of the crimp", remedy="give one from 0 to 1")
    return crimp_excess(amplitude_m, wave_m) - crimp_excess(left_share * amplitude_m, wave_m)


def take_up_per_m(fence: FenceType, items: Mapping[str, Item], settings: Settings) -> float:
    """How far the wire comes in for each metre that is strained.

    With a mesh: the stretch of a line wire at its strain, and the crimp released, one crimp a picket; the mesh is what
    the clamp bar holds, and takes up far more than any strand beside it. Without a mesh: the greatest stretch among
    the strands. Poly wires and rails count nothing. Friction, which lowers the tension along the run, is left out, so
    the figure is on the long side.

    Args:
        fence: Fence type.
        items: Items by key.
        settings: Settings of the job.

    Returns:
        Take-up of one metre. [m/m]

    Raises:
        BadFenceType: A strained strand's item is not a wire.
        OutOfRange: The mesh's crimp, or a wire, cannot be one.

    Source:
        T / (E A) and the arc of the crimp; one crimp a picket is common practice. Checked in
        tests/validation/test_sine_arc.py.
    """
    modulus_pa = settings.steel_modulus_gpa * 1e9
    if fence.mesh is None:
        stretches = [wire_stretch(strand.strain_n, wire, 1.0, modulus_pa=modulus_pa) for strand in fence.strands
                     if (wire := wire_of(strand, items, fence=fence.key)) is not None]
        return max(stretches, default=0.0)
    mesh = fence.mesh
    stretch = wire_stretch(mesh.strain_per_wire_n, mesh.line_wire, 1.0, modulus_pa=modulus_pa)
    if mesh.crimp_amplitude_m == 0.0:
        return stretch
    released = crimp_released(mesh.crimp_amplitude_m, mesh.crimp_wave_m, left_share=settings.crimp_left_share)
    return stretch + released / mesh.picket_spacing_m


def pull_plan(take_ups_m: Sequence[Metre], settings: Settings) -> Pull:
    """Where to set the clamp bar for a section, and how many bites its longest sub-run takes.

    The clamp bar moves towards the end post by what the wire comes in, and must then still stand clear of it by the
    tie-off gap, where the wires are knotted off. One bite comes in by no more than the usable travel of the chain
    strainers. Where one is not enough, the wire is held by a second clamp and the bar is set back to the same station
    for an equal share each time: every bite then ends at the tie-off gap, no bite runs the chains out to their end,
    and the crew has one distance to remember. So the chains need to reach travel + gap at most, whatever the take-up.
    In a strain from the middle of a section the distance counts from the join instead of from an end post.

    Args:
        take_ups_m: Take-up of each sub-run. [m] Empty for a section that carries no wire.
        settings: Settings: ``usable_travel_m``, ``tie_off_gap_m``.

    Returns:
        The pull; no bites and no station where there is nothing to pull.

    Raises:
        OutOfRange: A take-up is below zero.

    Source:
        Usable travel 1.5 m and tie-off gap 0.6 m: common practice, no source.

    Example:
        >>> pull_plan([0.638, 1.25], Settings())
        Pull(take_up_m=1.25, clamp_station_m=1.85, bites=1)
        >>> pull_plan([2.0], Settings())
        Pull(take_up_m=2.0, clamp_station_m=1.6, bites=2)
    """
    if not take_ups_m:
        return Pull(0.0, 0.0, 0)
    if min(take_ups_m) < 0.0:
        raise OutOfRange(f"a take-up of {min(take_ups_m):g} m is below zero", remedy="correct the strain")
    greatest = max(take_ups_m)
    bites = max(1, math.ceil(greatest / settings.usable_travel_m - 1e-9))
    return Pull(greatest, greatest / bites + settings.tie_off_gap_m, bites)
