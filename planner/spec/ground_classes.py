"""Ground classes: how a post goes in, what it then holds, and how long it takes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from planner.units import Newton

Setting = Literal["driven", "dug", "drilled"]


@dataclass(frozen=True, slots=True)
class GroundClass:
    """A stretch's ground, as a contractor prices it.

    Attributes:
        key: Short readable key, such as ``ledge``.
        description: What to call it on a sheet.
        setting: How posts are set: driven, dug or drilled.
        uplift_n: Pull that lifts a line post set this way. [N]
        posts_factor: Labour multiplier on line posts.
        ends_factor: Labour multiplier on end assemblies.
    """

    key: str
    description: str
    setting: Setting
    uplift_n: Newton
    posts_factor: float
    ends_factor: float
