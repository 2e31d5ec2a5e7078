"""Gates: the standard gate that goes into an opening."""

from __future__ import annotations

from collections.abc import Mapping

from planner.errors import BadFenceType, OutOfRange
from planner.spec.items import Item
from planner.units import Metre

GATE_FAMILY = "gate"
_FIT_M = 0.005


def choose_gate(width_m: Metre, items: Mapping[str, Item]) -> Item:
    """The widest standard gate that is not wider than the opening.

    Gates come in a few standard widths. One wider than its opening cannot be hung; one narrower leaves a gap, which
    ``gate_gap_m`` gives, to be closed by moving a gate post or by infill. A gate up to 5 mm wider than the opening
    counts as fitting, because widths are nominal.

    Args:
        width_m: Clear width between the gate posts. [m]
        items: Item list; gates are the items of family ``gate``, their width being ``length_m``.

    Raises:
        OutOfRange: The opening is narrower than the narrowest gate.
        BadFenceType: The item list holds no gate.

    Source:
        Clear widths of 3.6 m and more for vehicles: Ireland DAFM S148 (3.6 m between posts); NSW fire access (3.6 m).
        The other widths are common practice, no source.
    """
    gates = sorted((i for i in items.values() if i.family == GATE_FAMILY and i.length_m), key=_width)
    if not gates:
        raise BadFenceType("there is no gate in the item list", remedy="add one to items.toml with family \"gate\"")
    fitting = [g for g in gates if _width(g) <= width_m + _FIT_M]
    if not fitting:
        raise OutOfRange(f"no gate goes into an opening of {width_m:.2f} m; the narrowest is {_width(gates[0]):.2f} m",
                         remedy="widen the opening, or add a narrower gate to items.toml")
    return fitting[-1]


def gate_gap_m(width_m: Metre, gate: Item) -> Metre:
    """What a gate leaves open, never below zero. [m]

    Args:
        width_m: Clear width between the gate posts. [m]
        gate: The gate chosen for it.
    """
    return max(0.0, width_m - _width(gate))


def _width(gate: Item) -> Metre:
    return gate.length_m or 0.0
