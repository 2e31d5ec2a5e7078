"""Take-up: how far the wire comes in, where to set the clamp bar, and how many bites it takes."""

from __future__ import annotations

from dataclasses import dataclass

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
