"""What a source file gave: lines, points, and what was wrong with which row. Nothing is dropped in silence."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from planner.findings import Finding
from planner.geometry.arrays import Floats, SameByValue
from planner.units import Metre

Accuracy = Literal["survey", "rtk", "dgnss", "handheld", "traced", "unknown"]
LineKind = Literal["track", "route", "polyline", "ring"]


@dataclass(frozen=True, eq=False)
class MeasuredLine(SameByValue):
    """One line read from a source, in the grid of the reading (the file's own until it is brought into a job's).

    Attributes:
        name: Name in the source, or one made from the file's name; unique in one reading.
        xy: Corners in east, north order. [m] or [deg] Shape (n, 2), n >= 2, all finite, no corner repeated in
            succession; a closed line repeats its first corner at the end.
        level_m: Level of each corner. [m] Shape (n,), NaN where the source gives none; None when it gives none at all.
        time_s: Time of each corner since 1970 UTC. [s] Shape (n,), NaN where unknown; None when no corner has one.
        closed: True for rings.
        kind: What the source called it.
        accuracy: Accuracy class that the kind of source suggests; a person may say better.
        file: Path of the source as given.
        row: Feature, track or entity in the file, counted from 1.
        attributes: The source's fields, as texts.
    """

    name: str
    xy: Floats
    level_m: Floats | None
    time_s: Floats | None
    closed: bool
    kind: LineKind
    accuracy: Accuracy
    file: str
    row: int
    attributes: tuple[tuple[str, str], ...] = ()

    @property
    def corner_count(self) -> int:
        """Number of corners; the one where a ring closes counts once."""
        return len(self.xy) - self.closed


@dataclass(frozen=True, slots=True)
class MeasuredPoint:
    """One point read from a source.

    Attributes:
        name: Name or number in the source.
        x: East. [m] or [deg]
        y: North. [m] or [deg]
        level_m: Level. [m] None when the source gives none.
        code: Feature code, such as ``gate``, ``crossing`` or ``ground``; empty when none.
        width_m: Width of a gate or span of a crossing. [m] None when not given.
        accuracy: Accuracy class of the source.
        file: Path of the source.
        row: Row in it, counted from 1.
        attributes: The source's fields, as texts; they go with the reading and are not kept with surveyed points.
    """

    name: str
    x: Metre
    y: Metre
    level_m: Metre | None
    code: str
    width_m: Metre | None
    accuracy: Accuracy
    file: str
    row: int
    attributes: tuple[tuple[str, str], ...] = field(default=(), compare=False)


@dataclass(frozen=True)
class Reading:
    """All that one source file gave.

    Attributes:
        file: Path as given.
        crs: Coordinate system the positions are in, as an authority code or WKT; empty when the file states none.
        lines: Lines that can be used.
        points: Points that can be used.
        troubles: What could not be used or was mended, each with file and row.
        notes: How the coordinate system was found and how sure that is, one sentence each.
    """

    file: str
    crs: str
    lines: tuple[MeasuredLine, ...] = ()
    points: tuple[MeasuredPoint, ...] = ()
    troubles: tuple[Finding, ...] = ()
    notes: tuple[str, ...] = field(default=())
