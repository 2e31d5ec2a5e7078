"""Wire under tension: coil length, stretch, sag, temperature, and what a join or its slip costs. Advisory."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from planner.errors import BadFenceType, OutOfRange
from planner.settings import Settings
from planner.sources import Source
from planner.spec.fence_type import FenceType
from planner.spec.items import Item
from planner.spec.wires import Strand, Wire
from planner.units import Kelvin, Kilogram, Metre, Newton, Pascal

TABLE_TEMPERATURES_C: tuple[float, ...] = (-10.0, 0.0, 10.0, 20.0, 30.0, 40.0, 50.0)
NOT_STEEL = frozenset({"poly", "rail"})
_KNOT_TESTS = Source("The Press, 'Wire knots', tests by the NZ Agricultural Engineering Institute", "18 April 1980",
                     "two samples of each knot in 2.5 mm high tensile wire that breaks at 6,650 N")


@dataclass(frozen=True, slots=True)
class JoinFactor:
    """What a knot leaves of a wire's breaking load.

    Attributes:
        share: Breaking load of the joined wire over that of the wire.
        slip_m: Wire the knot gives before it holds; 0 where none was reported. [m]
        source: Where both come from.
    """

    share: float
    slip_m: Metre
    source: Source


KNOTS: Mapping[str, JoinFactor] = MappingProxyType({
    "reef": JoinFactor(0.665, 0.05, _KNOT_TESTS),
    "figure of eight": JoinFactor(0.649, 0.05, _KNOT_TESTS),
    "double loop": JoinFactor(0.441, 0.0, _KNOT_TESTS),
})


@dataclass(frozen=True, slots=True)
class TemperatureRow:
    """Tension of every wire at one wire temperature. Advisory.

    Attributes:
        temperature_c: Wire temperature. [degC]
        total_n: Pull of the whole fence on its end. [N]
        strands: Name and tension of each strand, bottom to top. [N]
        mesh_wire_n: Tension of one line wire of the mesh; None for fences without mesh. [N]
    """

    temperature_c: float
    total_n: Newton
    strands: tuple[tuple[str, Newton], ...]
    mesh_wire_n: Newton | None


def coil_length(mass_kg: Kilogram, wire: Wire) -> Metre:
    """Length of plain wire in a coil of known mass.

    For barbed wire the barbs come on top of the line wires: take its mass per metre from the item list instead.

    Args:
        mass_kg: Mass of the coil. [kg]
        wire: The wire.

    Returns:
        Length. [m]

    Raises:
        OutOfRange: The wire has no section.

    Source:
        Steel at 7850 kg/m3. Checked in tests/validation/test_press_1980_coils_and_knots.py.

    Example:
        >>> round(coil_length(25.0, Wire(0.0025)))
        649
    """
    if wire.area_m2 <= 0.0:
        raise OutOfRange("a wire of no thickness has no length per kilogram", remedy="give its diameter")
    return mass_kg / wire.steel_kg_per_m


def wire_stretch(tension_n: Newton, wire: Wire, length_m: Metre, *, modulus_pa: Pascal) -> Metre:
    """How much longer a wire gets under a tension, while it stays elastic.

    Args:
        tension_n: Tension along its whole length. [N]
        wire: The wire.
        length_m: Its length. [m]
        modulus_pa: Young's modulus of the wire. [Pa]

    Returns:
        Stretch. [m]

    Raises:
        OutOfRange: The wire has no section, or the modulus is not above zero.

    Source:
        T L / (E A), Hooke's law. Checked in tests/validation/test_mechanics_wire.py.

    Example:
        >>> round(wire_stretch(1500.0, Wire(0.0025), 100.0, modulus_pa=200e9), 4)
        0.1528
    """
    return tension_n * length_m / axial_stiffness(wire, modulus_pa=modulus_pa)


def axial_stiffness(wire: Wire, *, modulus_pa: Pascal) -> Newton:
    """Force that would double a wire's length if it stayed elastic: E A.

    Args:
        wire: The wire.
        modulus_pa: Young's modulus of the wire. [Pa]

    Returns:
        E A. [N]

    Raises:
        OutOfRange: The wire has no section, or the modulus is not above zero.

    Source:
        Hooke's law.
    """
    stiffness = modulus_pa * wire.area_m2
    if stiffness <= 0.0:
        raise OutOfRange("a wire needs a thickness and a modulus above zero",
                         where=f"wire {wire.diameter_m * 1e3:g} mm", remedy="correct the item")
    return stiffness


def sag(weight_n_per_m: float, span_m: Metre, tension_n: Newton) -> Metre:
    """Sag of a wire in the middle of a span, both ends at one level, by the flat parabola.

    Args:
        weight_n_per_m: Weight of a metre of it. [N/m]
        span_m: Distance between its supports. [m]
        tension_n: Tension. [N] Above zero.

    Returns:
        Sag. [m]

    Raises:
        OutOfRange: The tension is not above zero.

    Source:
        w L^2 / (8 T). Checked in tests/validation/test_sag_notes.py.

    Example:
        >>> sag(9.80665, 500.0, 98066.5)
        3.125
    """
    if tension_n <= 0.0:
        raise OutOfRange("a wire without tension has no flat sag", remedy="give a tension above zero")
    return weight_n_per_m * span_m**2 / (8.0 * tension_n)


def temperature_change(
    wire: Wire, *, change_k: Kelvin, modulus_pa: Pascal, expansion_per_k: float,
    length_m: Metre | None = None, end_compliance_m_per_n: float = 0.0,
) -> Newton:
    """How much a wire's tension rises when it gets colder.

    Between rigid ends the length cancels. Ends that give make the rise smaller, and the more so the shorter the wire.

    Args:
        wire: The wire.
        change_k: How much colder it gets; negative for warmer. [K]
        modulus_pa: Young's modulus of the wire. [Pa]
        expansion_per_k: Thermal expansion. [1/K]
        length_m: Length between the ends; needed where the ends give. [m]
        end_compliance_m_per_n: How far both ends together give under this wire's tension. [m/N]

    Returns:
        Rise of tension; negative when it gets warmer. [N] The caller keeps the tension itself from falling below zero.

    Raises:
        OutOfRange: The ends give but the length is not given, or a value is below zero.

    Source:
        Rigid ends: E A alpha dT. Yielding ends: alpha dT L / (L / (E A) + c). Checked in
        tests/validation/test_textbook_temperature.py.

    Example:
        >>> wire = Wire(0.0025)
        >>> round(temperature_change(wire, change_k=10.0, modulus_pa=200e9, expansion_per_k=12e-6), 1)
        117.8
    """
    stiffness = axial_stiffness(wire, modulus_pa=modulus_pa)
    if end_compliance_m_per_n < 0.0:
        raise OutOfRange("an end cannot give less than nothing", remedy="give an end compliance of zero or more")
    if end_compliance_m_per_n == 0.0:
        return stiffness * expansion_per_k * change_k
    if length_m is None or length_m <= 0.0:
        raise OutOfRange("where the ends give, the tension depends on the length", remedy="give the length of the wire")
    return expansion_per_k * change_k * length_m / (length_m / stiffness + end_compliance_m_per_n)


def join_strength(breaking_n: Newton, join: str) -> Newton:
    """Breaking load of a wire joined with a knot.

    Sleeves and crimps are not listed: their share of the wire's strength belongs to the item as bought.

    Args:
        breaking_n: Breaking load of the wire. [N]
        join: Name of the knot, a key of ``KNOTS``.

    Returns:
        Breaking load of the joined wire. [N]

    Raises:
        OutOfRange: No such knot.

    Source:
        The Press, 18 April 1980: tests by the NZ Agricultural Engineering Institute. Checked in
        tests/validation/test_press_1980_coils_and_knots.py.

    Example:
        >>> round(join_strength(6650.0, "reef"))
        4422
    """
    if join not in KNOTS:
        raise OutOfRange("no strength is known for this join", where=f"join '{join}'",
                         remedy=f"use one of {', '.join(KNOTS)}")
    return breaking_n * KNOTS[join].share


def slip_loss(slip_m: Metre, wire: Wire, length_m: Metre, *, modulus_pa: Pascal) -> Newton:
    """Tension lost when a knot gives some wire after the pull.

    Args:
        slip_m: Wire that the knot gives. [m]
        wire: The wire.
        length_m: Length of the strain. [m] Above zero.
        modulus_pa: Young's modulus of the wire. [Pa]

    Returns:
        Tension lost; never more than the wire had, which the caller knows. [N]

    Raises:
        OutOfRange: The length is not above zero.

    Source:
        E A s / L. Checked in tests/validation/test_press_1980_coils_and_knots.py.

    Example:
        >>> round(slip_loss(0.05, Wire(0.0025), 100.0, modulus_pa=200e9))
        491
    """
    if length_m <= 0.0:
        raise OutOfRange("a strain of no length loses no tension", remedy="give its length")
    return axial_stiffness(wire, modulus_pa=modulus_pa) * slip_m / length_m


def wire_of(strand: Strand, items: Mapping[str, Item], *, fence: str) -> Wire | None:
    """The steel wire of a strand; None where it is not steel (poly, rails) and temperature says nothing of it.

    Args:
        strand: The strand.
        items: Items by key.
        fence: Key of its fence type, for the message.

    Raises:
        BadFenceType: The item is not in the list, or is no wire though the strand is strained.
    """
    if strand.kind in NOT_STEEL or strand.strain_n <= 0.0:
        return None
    item = items.get(strand.item)
    if item is None or item.wire is None:
        raise BadFenceType(
            f"strand '{strand.name}' is made of '{strand.item}', which is not a wire in the item list",
            where=f"fence type '{fence}'", remedy="correct the item, or add its wire to the item list")
    return item.wire


def temperature_table(
    fence: FenceType, items: Mapping[str, Item], *, length_m: Metre, settings: Settings,
    temperatures: Sequence[float] = TABLE_TEMPERATURES_C,
) -> tuple[TemperatureRow, ...]:
    """Tension of every wire of a section over a range of wire temperatures, for the straining sheet.

    Every wire has its strain at ``settings.setting_temperature_c``. Where the two ends give
    (``end_yield_mm_per_kn``), they give under the pull of all wires together, so a thick wire that tightens also eases
    its neighbours. A tension never falls below zero: a wire cannot push. The crimp left in a mesh makes its real swing
    smaller than the one given, which is an upper bound. Poly wires and rails keep their tension here; nothing is known
    of them.

    Args:
        fence: Fence type.
        items: Items by key.
        length_m: Strained length between the ends. [m] Above zero.
        settings: Settings of the job.
        temperatures: Wire temperatures. [degC]

    Returns:
        One row a temperature, in the order given.

    Raises:
        OutOfRange: The length is not above zero.
        BadFenceType: A strained strand's item is not a wire.

    Source:
        As ``temperature_change``. Checked in tests/validation/test_textbook_temperature.py.
    """
    if length_m <= 0.0:
        raise OutOfRange("a section of no length has no tension table", remedy="give its length")
    wires = [wire_of(strand, items, fence=fence.key) for strand in fence.strands]
    group = [(1, strand.strain_n, wire) for strand, wire in zip(fence.strands, wires, strict=True)]
    if fence.mesh is not None:
        group.append((fence.mesh.line_wires, fence.mesh.strain_per_wire_n, fence.mesh.line_wire))
    rows = []
    for temperature in temperatures:
        tensions = _tensions_at(group, settings.setting_temperature_c - temperature, length_m, settings)
        strands = tuple((s.name, t) for s, t in zip(fence.strands, tensions, strict=False))
        total = sum(count * t for (count, _, _), t in zip(group, tensions, strict=True))
        rows.append(TemperatureRow(temperature, total, strands, tensions[-1] if fence.mesh is not None else None))
    return tuple(rows)


def _tensions_at(
    group: Sequence[tuple[int, Newton, Wire | None]], colder_k: Kelvin, length_m: Metre, settings: Settings,
) -> list[Newton]:
    """Tension of each kind of wire once all have shortened by alpha dT L and the ends have given way together."""
    shortening = settings.steel_expansion_per_k * colder_k * length_m
    both_ends = 2.0 * settings.end_yield_mm_per_kn * 1e-6
    rates = [0.0 if wire is None else axial_stiffness(wire, modulus_pa=settings.steel_modulus_gpa * 1e9) / length_m
             for _, _, wire in group]
    slack: set[int] = set()
    while True:
        # end movement d solves d = c * (sum of the rises), each rise k (shortening - d), or -strain for a slack wire
        gone = sum(count * strain for i, (count, strain, _) in enumerate(group) if i in slack)
        stiff = sum(group[i][0] * rate for i, rate in enumerate(rates) if i not in slack)
        moved = both_ends * (stiff * shortening - gone) / (1.0 + both_ends * stiff)
        tensions = [0.0 if i in slack else strain + rates[i] * (shortening - moved)
                    for i, (_, strain, _) in enumerate(group)]
        pushing = {i for i, tension in enumerate(tensions) if tension < 0.0}
        if not pushing:
            return tensions
        slack |= pushing
