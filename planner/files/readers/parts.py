"""The corners of many parts of many features, one after another, with what is said of each part."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from planner.geometry.arrays import Floats, Integers
from planner.survey.fixes import Accuracy, LineKind


@dataclass(frozen=True, slots=True)
class Label:
    """What is said of one part besides its corners.

    Attributes:
        row: Feature, track or entity in the file, counted from 1.
        name: Name before it is made unique.
        kind: What the source called it.
        accuracy: Accuracy class.
        attributes: Fields of its row.
    """

    row: int
    name: str
    kind: LineKind
    accuracy: Accuracy = "unknown"
    attributes: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Parts:
    """Corners of many parts, one after another.

    Attributes:
        xy: Corners as the file gives them. [m] or [deg] Shape (n, 2).
        level: Levels. [m] Shape (n,), NaN where none.
        time: Times since 1970 UTC. [s] Shape (n,), NaN where none; None when the file has none at all.
        part: Index into ``labels``. Shape (n,), never falling.
        labels: One for each part.
    """

    xy: Floats
    level: Floats
    time: Floats | None
    part: Integers
    labels: tuple[Label, ...]


def parts_of(corners: Sequence[tuple[Label, Floats, Floats | None, Floats | None]]) -> Parts:
    """Parts put together from one array of corners, levels and times for each.

    Args:
        corners: Label, corners of shape (n, 2), levels of shape (n,) or None, times of shape (n,) or None.
    """
    empty = np.empty((0, 2))
    lengths = [len(xy) for _, xy, _, _ in corners]
    nothing = [np.full(n, np.nan) for n in lengths]
    timed = any(time is not None for *_, time in corners)
    return Parts(
        np.concatenate([empty, *(xy for _, xy, _, _ in corners)]),
        np.concatenate(
            [empty[:, 0], *(nan if z is None else z for (_, _, z, _), nan in zip(corners, nothing, strict=True))]
        ),
        np.concatenate([nan if t is None else t for (*_, t), nan in zip(corners, nothing, strict=True)])
        if timed
        else None,
        np.repeat(np.arange(len(corners)), lengths),
        tuple(label for label, *_ in corners),
    )
