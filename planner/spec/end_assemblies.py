"""End assemblies: what holds the pull at the end of a strain."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from planner.units import Metre

AssemblyForm = Literal["box", "diagonal", "post", "hand"]


@dataclass(frozen=True, slots=True)
class EndAssembly:
    """One kind of end assembly, for one direction of pull.

    Attributes:
        key: Short readable key, such as ``single-box``.
        description: What to call it on a sheet.
        form: box (horizontal stay), diagonal (stay), post (a post alone) or hand (temporary).
        spans: Braced spans for each direction of pull; 2 for a double.
        rail_height_m: Height at which the rail or stay meets the post. [m]
        brace_length_m: Length between its posts, or from the post to the foot of the stay. [m]
        parts: Item key and quantity for the first direction of pull.
        parts_further: Item key and quantity for each further direction.
        depth_m: Depth of the strainer post in the ground. [m]
    """

    key: str
    description: str
    form: AssemblyForm
    spans: int
    rail_height_m: Metre
    brace_length_m: Metre
    parts: tuple[tuple[str, float], ...]
    parts_further: tuple[tuple[str, float], ...]
    depth_m: Metre


@dataclass(frozen=True, slots=True)
class EndRules:
    """Which assembly stands where, by fence type.

    Attributes:
        single: Assembly key at the end of a light or short strain.
        double: Assembly key above ``double_above_n``.
        gate: Assembly key at the side of a gate.
        double_above_n: Pull above which an end is doubled. [N]
    """

    single: str
    double: str
    gate: str
    double_above_n: float
