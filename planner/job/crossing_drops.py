"""How deep the curtain of each crossing has to hang: as it was typed, else by the profile."""

from __future__ import annotations

from collections.abc import Sequence

from planner.alignment.corners import openings
from planner.alignment.line import FenceLine
from planner.profile.ground_line import GroundLine
from planner.profile.hollows import hollow_between
from planner.sections.strains import Section
from planner.units import Metre


def crossing_drops(line: FenceLine, ground: GroundLine, sections: Sequence[Section], *,
                   height_m: Metre) -> dict[str, Metre]:
    """Section id of each crossing to the height of its cable above the bed; crossings of no known depth are left out.

    Args:
        line: The fence line.
        ground: Its ground.
        sections: Its sections.
        height_m: Height of the fence, at which the cable hangs over the banks. [m]

    Source:
        Curtain from the fence's own height down to the bed: NSW DPI Primefact 681 (2009).
    """
    typed = {crossing.name: crossing.depth_m for crossing in line.crossings}
    drops: dict[str, Metre] = {}
    for opening in openings(line, ground) if typed else ():
        if opening.kind != "crossing":
            continue
        depth = typed[opening.name]
        if depth is None:
            hollow = hollow_between(ground, opening.from_m, opening.to_m)
            depth = hollow.depth_m if hollow else None
        if depth is not None:
            drops |= {s.id: height_m + depth for s in sections
                      if s.is_crossing and opening.from_m <= (s.from_m + s.to_m) / 2.0 <= opening.to_m}
    return drops
