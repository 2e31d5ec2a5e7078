"""The search for the cheapest set-back line: candidate corners in the band, legs between them, the cheapest way."""

from __future__ import annotations

from dataclasses import dataclass, replace

from planner.alignment.setback_band import Stretch
from planner.alignment.setback_costs import Costs
from planner.alignment.setback_places import candidates, layers, station_spacing
from planner.alignment.setback_ways import ClosedWays, OpenWays
from planner.geometry.arrays import Floats
from planner.progress import Progress, Unwatched
from planner.units import Metre


@dataclass(frozen=True, slots=True)
class Fineness:
    """How fine a search was.

    Attributes:
        level: 0 is the coarsest; each level halves the spacing and contains the candidates of the one before.
        station_m: Greatest distance between candidate corners along the edge of the set-back. [m]
        layers_m: Distances of candidate corners from that edge. [m]
        places: Candidate corners.
        legs: Legs between them that stay in the band.
        graph_cost: Cost of the cheapest way over them, before its corners were moved.
        bound: No way over the graph costs less; equal to ``graph_cost`` where that is proven to be the optimum.
        moved_to_m: Step in which the corners were at last moved to save more. [m]
    """

    level: int
    station_m: Metre
    layers_m: tuple[Metre, ...]
    places: int
    legs: int
    graph_cost: float
    bound: float
    moved_to_m: Metre

    @property
    def proven(self) -> bool:
        """True when the way is proven to be the cheapest over the graph."""
        return self.bound >= self.graph_cost - 1e-6 * max(1.0, abs(self.graph_cost))


@dataclass(frozen=True)
class Found:
    """A line that was found.

    Attributes:
        xy: Corners. [m] Shape (n, 2); a closed line repeats its first.
        cost: Corners, metres and land beyond the edge of the set-back.
        fineness: How fine the search was.
    """

    xy: Floats
    cost: float
    fineness: Fineness


def search(stretch: Stretch, costs: Costs, *, near_m: Metre, give_m: Metre, level: int,
           known: Floats | None = None, progress: Progress = Unwatched()) -> Found:
    """The cheapest line along a stretch: the optimum of a graph, its corners then moved as long as that saves.

    Every level's candidates contain those of the level before, and the best line of all levels is kept, so that a
    finer search is never dearer.

    Args:
        stretch: The stretch.
        costs: What a line costs.
        near_m: Set-back from the drawn feature. [m]
        give_m: Width of the band. [m]
        level: Finest level, 0 or more.
        known: A line known to lie in the band, from a start to an end; the result is not dearer than it.
        progress: Told of each level; may stop the search.

    Raises:
        OutOfRange: There is no way through the band.
    """
    work = (ClosedWays if stretch.closed else OpenWays)(stretch, costs, progress)
    best = _search_at(stretch, work, near_m, give_m, 0)
    for each in range(1, level + 1):
        progress.report(4.0 ** (each - 1 - level), f"searching {_words(stretch)} more finely")
        finer = _search_at(stretch, work, near_m, give_m, each)
        best = finer if finer.cost < best.cost else replace(best, fineness=finer.fineness)
    if known is not None and work.line_cost(known) < best.cost:
        xy, cost, step = work.move(known, best.fineness.station_m / 2)
        best = Found(xy, cost, replace(best.fineness, moved_to_m=step))
    return best


def _words(stretch: Stretch) -> str:
    return "around" if stretch.bank == "around" else f"the {stretch.bank} bank"


def _search_at(stretch: Stretch, work: OpenWays, near_m: Metre, give_m: Metre, level: int) -> Found:
    spacing = station_spacing(stretch, near_m=near_m, give_m=give_m, level=level)
    offs = layers(give_m, level)
    xy, along = candidates(stretch, spacing, offs)
    wide = 2.0 * (near_m + give_m)
    way = work.best(xy, along, sure_m=max(150.0, wide), step_m=max(100.0, wide))
    moved, cost, step = work.move(way.xy, spacing / 2)
    return Found(moved, cost, Fineness(level, spacing, offs, way.places, way.legs, way.cost, way.bound, step))
