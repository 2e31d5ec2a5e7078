"""An earlier profile of a line as a source of level, so that new terrain adds to what is known and takes none away."""

from __future__ import annotations

import numpy as np

from planner.geometry.arrays import Floats, frozen
from planner.geometry.feet import feet_on
from planner.survey.ground import NONE, SOURCE_NAMES, TERRAIN, Levels, RecordedLevels
from planner.units import Metre

_SAME_LINE_M = 0.01
_SAME_STATION_M = 0.001


class RecordedGround:
    """What an earlier profile of a line knew from one kind of source, on that line and nowhere else.

    Args:
        recorded: The profile.
        kind: Index into ``SOURCE_NAMES``.
    """

    def __init__(self, recorded: RecordedLevels, kind: int) -> None:
        self._recorded, self._kind = recorded, kind
        self.name = ", ".join(recorded.names) or SOURCE_NAMES[kind]
        self.cell_m: Metre | None = recorded.quality.cell_m if kind == TERRAIN else None
        self.noise_m: Metre = recorded.noise_m

    def levels(self, xy: Floats) -> Levels:
        """Levels at positions on the line, between stations whose levels are of this kind.

        Args:
            xy: Positions in the working grid. [m] Shape (n, 2).
        """
        old = self._recorded
        foot, _ = feet_on(old.xy, xy, within=_SAME_LINE_M)
        on_line = np.isfinite(foot)
        at = np.where(on_line, foot, 0.0)
        after = np.clip(np.searchsorted(old.at_m, at - _SAME_STATION_M), 0, len(old.at_m) - 1)
        before = np.where(old.at_m[after] - at <= _SAME_STATION_M, after, np.maximum(after - 1, 0))
        known = on_line & (old.source[before] == self._kind) & (old.source[after] == self._kind)
        return Levels(np.where(known, np.interp(at, old.at_m, old.level_m), np.nan),
                      np.where(known, np.interp(at, old.at_m, old.sd_m), np.nan),
                      np.where(known, self._kind, NONE).astype(np.int64))


def recorded_grounds(recorded: RecordedLevels) -> tuple[RecordedGround, ...]:
    """An earlier profile as sources of level, one for each kind of source in it.

    Args:
        recorded: The profile.
    """
    kinds = sorted({int(kind) for kind in recorded.source} - {NONE}, reverse=True)
    return tuple(RecordedGround(recorded, kind) for kind in kinds)


def single_stations(recorded: RecordedLevels) -> Floats:
    """Grid distances along the line of levels that stand for themselves: surveyed and walked, not terrain. [m]

    Args:
        recorded: The profile.
    """
    return frozen(recorded.at_m[(recorded.source != NONE) & (recorded.source != TERRAIN)])
