"""The set-back line: the cheapest fence that stays clear of water or vegetation and gives away no more than allowed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
import shapely

from planner.alignment.setback_band import Stretch, Wanted, stretches
from planner.alignment.setback_costs import Costs
from planner.alignment.setback_follow import follow_the_edge
from planner.alignment.setback_report import Opening, SetbackFigures, figures_of, opening_on
from planner.alignment.setback_search import Fineness, search
from planner.alignment.setback_stem import stem_line
from planner.errors import OutOfRange
from planner.geometry.arrays import Floats, SameByValue, frozen
from planner.geometry.lines import leg_lengths, repeated
from planner.geometry.visibility_graph import TurnPrice
from planner.progress import Part, Progress, Unwatched
from planner.units import HECTARE_M2, Degree, Metre

Bank = Literal["left", "right", "both", "around"]
Baseline = Literal["centreline", "edge", "bank-top"]
BANKS: tuple[Bank, ...] = ("left", "right", "both", "around")
BASELINES: tuple[Baseline, ...] = ("centreline", "edge", "bank-top")
SLIGHT_SHARE = 0.35
"""Price of a deviation post with its footing as a share of a corner. Common practice, no source."""

SLIGHT_DEG = 0.05
"""Turn that still runs straight on. Small: many turns of a degree each would else bend a line for nothing."""

_LONG_M: Metre = 10_000.0
"""Edge of a set-back along which the search is told to take minutes. [m]"""


@dataclass(frozen=True, eq=False)
class SetbackLine(SameByValue):
    """One line.

    Attributes:
        bank: left, right (as one looks downstream, the way the stream is drawn) or around.
        xy: Corners. [m] Shape (n, 2). A closed line repeats its first.
        closed: True when it returns to its start.
        figures: What it comes to.
        follow_xy: Corners of the follow-the-edge line; None when no simplified edge stays in the band.
        follow: What that comes to.
        fineness: How fine the search was, and whether its optimum is proven.
        openings: Where crossings and gates that were asked for come to stand.
    """

    bank: str
    xy: Floats
    closed: bool
    figures: SetbackFigures
    follow_xy: Floats | None
    follow: SetbackFigures | None
    fineness: Fineness
    openings: tuple[Opening, ...] = ()

    @property
    def saved(self) -> float | None:
        """Cost of the follow-the-edge line less that of this one; None when there is none to compare with."""
        return None if self.follow is None else self.follow.cost - self.figures.cost


@dataclass(frozen=True)
class SetbackResult:
    """All lines that the features need.

    Attributes:
        lines: One for each bank, and for each stretch between boundaries.
        setback_m: Set-back asked. [m]
        give_m: Give allowed. [m]
        baseline: What the set-back is counted from.
    """

    lines: tuple[SetbackLine, ...]
    setback_m: Metre
    give_m: Metre
    baseline: Baseline


def setback_line(features: Sequence[Any], *, setback_m: Metre, give_m: Metre, bank: Bank, baseline: Baseline,
                 half_width_m: Metre = 0.0, paddock: Any = None, corner_cost: float = 450.0, metre_cost: float = 9.0,
                 land_cost_per_ha: float = 0.0, start: tuple[Metre, Metre] | None = None,
                 end: tuple[Metre, Metre] | None = None, fineness: int = 1, corner_deg: Degree = 20.0,
                 slight_deg: Degree = SLIGHT_DEG, slight_cost: float | None = None, openings_at_m: Sequence[Metre] = (),
                 progress: Progress = Unwatched()) -> SetbackResult:
    """The cheapest fence line no nearer than a set-back to some features and no farther than set-back and give.

    Cost is corners, metres and the land given up. The line is the optimum over a graph of candidate corners in the
    band, its corners then moved as long as that saves; a finer graph never gives a dearer line. Turns up to
    ``corner_deg`` need a deviation post, which costs less than a corner. Features whose bands touch are fenced as one;
    dry ground enclosed by the set-back (an island, the neck of a loop) is given up. Of a stream network the banks are
    those of its longest way, and the streams that join it are gone round.

    Args:
        features: Lines, polygons or collections of them in the working grid. [m]
        setback_m: Least distance from the baseline. [m] Above 0.
        give_m: How much farther the line may be. [m] 0 or more.
        bank: left, right, both (of a stream, looking the way it is drawn), or around.
        baseline: What the drawn features are: centreline, water edge or top of bank.
        half_width_m: Distance from a drawn centreline to the edge the set-back is counted from. [m] 0 counts from the
            centreline itself.
        paddock: Polygon that the line may not leave; None when there is none. A line cut off by it ends on it.
        corner_cost: Price of a corner.
        metre_cost: Price of a metre of fence.
        land_cost_per_ha: Value of a hectare given up.
        start: Where the line must start; None where the feature does, or at the paddock's boundary.
        end: Where it must end.
        fineness: 0 for the coarsest graph; each step halves the spacing of candidate corners.
        corner_deg: Turn above which a turn is a corner. [deg]
        slight_deg: Turn up to which a line runs straight on. [deg]
        slight_cost: Price of a turn between the two; 0.35 of a corner when None.
        openings_at_m: Distances along the stream at which a crossing or a gate is wanted. [m]
        progress: Told of each line; may stop the search.

    Raises:
        OutOfRange: A figure cannot be used, there are no features, or there is no way through the band.

    Source:
        Shortest way over a visibility graph. Set-backs in use run from 1.5 m (Teagasc, from top of bank) and 3 m
        (DairyNZ summary of the 2020 stock exclusion regulations) to 20 m, from different baselines, so the baseline
        is asked. Checked in tests/unit/alignment/test_setback_line.py and tests/validation/test_streams.py.

    Example:
        >>> pond = shapely.Point(0.0, 0.0).buffer(20.0)
        >>> found = setback_line([pond], setback_m=10.0, give_m=15.0, bank="around", baseline="edge")
        >>> found.lines[0].figures.corners
        4
    """
    shapes = _checked(features, setback_m, give_m, bank, baseline, half_width_m, corner_cost, metre_cost, fineness)
    slight = SLIGHT_SHARE * corner_cost if slight_cost is None else min(slight_cost, corner_cost)
    costs = Costs(TurnPrice(corner_cost, slight, corner_deg, slight_deg), metre_cost, land_cost_per_ha / HECTARE_M2)
    near = setback_m + half_width_m
    found = []
    wanted = stretches(shapes, Wanted(near, give_m, bank, paddock, start, end))
    for number, stretch in enumerate(wanted):
        progress.stop_if_cancelled()
        length = float(leg_lengths(stretch.arc).sum())
        progress.report(number / len(wanted), f"set-back line {number + 1} of {len(wanted)}"
                        + (f": {length / 1000.0:.0f} km, takes minutes" if length > _LONG_M else ""))
        part = Part(progress, number / len(wanted), (number + 1) / len(wanted))
        found.append(_line(stretch, costs, near, give_m, half_width_m, fineness, openings_at_m, part))
    return SetbackResult(tuple(found), setback_m, give_m, baseline)


def _line(stretch: Stretch, costs: Costs, near: Metre, give: Metre, half_width: Metre, level: int,
          openings: Sequence[Metre], progress: Progress) -> SetbackLine:
    follow = follow_the_edge(stretch, costs, give_m=give)
    best = search(stretch, costs, near_m=near, give_m=give, level=level, known=follow, progress=progress)
    xy = _written(stretch, best.xy)
    stem = stem_line(stretch.baseline)
    follow = None if follow is None else _written(stretch, follow)
    return SetbackLine(
        stretch.bank, xy, stretch.closed, figures_of(stretch, costs, xy, half_width_m=half_width), follow,
        None if follow is None else figures_of(stretch, costs, follow, half_width_m=half_width), best.fineness,
        tuple(opening_on(xy, stem, at) for at in openings))


def _written(stretch: Stretch, xy: Floats) -> Floats:
    """The line with its ends exactly where they belong, and without corners at which nothing turns."""
    xy = xy.copy()
    for end, at in ((stretch.start, 0), (stretch.end, -1)):
        if end is not None:
            xy[at] = end.exact[int(np.hypot(*(end.xy - xy[at]).T).argmin())]
    return frozen(xy[~repeated(xy, within=1e-6)])


def _checked(features: Sequence[Any], setback: Metre, give: Metre, bank: str, baseline: str, half_width: Metre,
             corner: float, metre: float, level: int) -> list[Any]:
    if bank not in BANKS:
        raise OutOfRange(f"there is no bank '{bank}'", remedy=f"use {', '.join(BANKS)}")
    if baseline not in BASELINES:
        raise OutOfRange(f"a set-back cannot be counted from '{baseline}'", remedy=f"use {', '.join(BASELINES)}")
    for what, value, least in (("set-back", setback, 1e-9), ("give", give, 0.0), ("half width", half_width, 0.0),
                               ("price of a corner", corner, 0.0), ("price of a metre", metre, 0.0),
                               ("fineness", level, 0.0)):
        if not (np.isfinite(value) and value >= least):
            raise OutOfRange(f"a {what} of {value:g} cannot be used", remedy="give one above 0" if least else
                             "give 0 or more")
    if half_width and baseline != "centreline":
        raise OutOfRange(f"a half width of {half_width:g} m belongs to a centreline, not to a drawn {baseline}",
                         remedy="say that the drawn line is the centreline, or leave the half width out")
    parts = shapely.get_parts(np.array(list(features), dtype=object)) if len(features) else []
    parts = shapely.get_parts(np.array([shapely.force_2d(shapely.make_valid(part)) for part in parts], dtype=object))
    shapes = [part for part in parts if not part.is_empty]
    if not shapes:
        raise OutOfRange("there is no feature to stay clear of", remedy="give a stream, a lake or some vegetation")
    return shapes
