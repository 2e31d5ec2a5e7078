"""Forces on posts where the wires turn, in plan and in profile, and what holds the post down."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from planner.units import Newton

HoldDown = Literal["none", "longer post", "footed post", "second post at 45 deg", "buried log or stone",
                   "separate section", "bridge the dip and infill"]


@dataclass(frozen=True, slots=True)
class PostLoad:
    """Forces on one post. Advisory.

    Attributes:
        side_n: Force across the line where the wires turn in plan. [N]
        uplift_n: Force along the post where they turn in profile; positive lifts. [N]
        hold_down: Rung of the hold-down ladder that is enough.
        deviation_class: Class of a deviation post by its side force: light, heavy or stayed; empty for other posts.
    """

    side_n: Newton
    uplift_n: Newton
    hold_down: HoldDown
    deviation_class: str = ""
