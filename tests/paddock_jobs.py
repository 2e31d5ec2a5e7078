"""Jobs of paddocks that tests put together: a block with a lane, and single rings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from planner.alignment.line import FenceLine, Gate
from planner.job.job import Job
from planner.survey.features import Feature

EAST, NORTH = 500_000.0, 6_000_000.0


def fence(name: str, *corners: tuple[float, float], gates: Sequence[tuple[str, float, float]] = (), width: float = 4.2,
          kind: str = "general-mesh") -> FenceLine:
    """A line through corners beyond (500 000, 6 000 000), closed where it returns to its start.

    Args:
        name: Its name.
        corners: Its corners. [m]
        gates: Name and middle of each gate. [m]
        width: Their width. [m]
        kind: Fence type.
    """
    xy = np.array(corners, dtype=float) + np.array([EAST, NORTH])
    return FenceLine(name, kind, xy, closed=corners[0] == corners[-1], accuracy="survey",
                     gates=tuple(Gate(g, EAST + x, NORTH + y, width) for g, x, y in gates))


def mark(meaning: str, name: str, *corners: tuple[float, float], area: bool = False, **facts: str) -> Feature:
    """Something on the ground: a point, a line of several corners, or an area.

    Args:
        meaning: Its meaning.
        name: Its name.
        corners: Its corners. [m]
        area: Whether the corners go around an area.
        facts: Its facts, with ``_`` for a space.
    """
    text = ", ".join(f"{EAST + x} {NORTH + y}" for x, y in corners)
    wkt = f"POINT ({text})" if len(corners) == 1 else f"LINESTRING ({text})"
    if area:
        wkt = f"POLYGON (({text}, {EAST + corners[0][0]} {NORTH + corners[0][1]}))"
    return Feature(name, meaning, wkt, tuple((key.replace("_", " "), value) for key, value in facts.items()))


def job_of(*lines: FenceLine, features: Sequence[Feature] = (), **settings: float) -> Job:
    """A job on ground of which no level is known.

    Args:
        lines: Its lines.
        features: What is around them.
        settings: Settings that differ from the defaults.
    """
    job = Job("Block", "EPSG:7855", lines, features=tuple(features))
    return replace(job, settings=job.settings.changed(settings))


def ring(name: str = "Ring", *, size: float = 200.0, gates: Sequence[tuple[str, float, float]] = (("G", 100.0, 0.0),),
         width: float = 4.2) -> FenceLine:
    """A square ring with a gate in the middle of its south side.

    Args:
        name: Its name.
        size: Its side. [m]
        gates: Its gates.
        width: Their width. [m]
    """
    return fence(name, (0, 0), (size, 0), (size, size), (0, size), (0, 0), gates=gates, width=width)


def lane_job(*, without: str = "", stands: bool = True) -> Job:
    """A block of 840 m by 500 m around seven paddocks and a lane of 20 m, with a gate for each paddock on the lane.

    Four paddocks of 210 m by 240 m north of the lane, three of 280 m by 240 m south of it; troughs under the dividing
    fences serve all seven; the yards are outside, to the west.

    Args:
        without: Name of a gate that is left out.
        stands: Whether the fence around the block stands already, with the two gates of the lane in it.
    """
    north, south = [0.0, 210.0, 420.0, 630.0], [0.0, 280.0, 560.0]

    def kept(*gates: tuple[str, float, float]) -> list[tuple[str, float, float]]:
        return [gate for gate in gates if gate[0] != without]

    lines = [
        fence("Lane north", (0, 260), (840, 260), gates=kept(*((f"N{k + 1}", x + 205, 260) for k, x in
                                                               enumerate(north)))),
        fence("Lane south", (0, 240), (840, 240), gates=kept(*((f"S{k + 1}", x + 275, 240) for k, x in
                                                               enumerate(south)))),
        *(fence(f"North {k}", (x, 260), (x, 500)) for k, x in enumerate(north[1:], 1)),
        *(fence(f"South {k}", (x, 0), (x, 240)) for k, x in enumerate(south[1:], 1))]
    around = ((0, 0), (840, 0), (840, 500), (0, 500), (0, 0))
    lane_ends = kept(("Lane west", 0, 250), ("Lane east", 840, 250))
    features = [
        *(mark("trough", f"Trough {k}", (x, 400)) for k, x in enumerate((210, 630), 1)),
        *(mark("trough", f"Trough {k}", (x, 100)) for k, x in enumerate((280, 560), 3)),
        *(mark("paddock", f"North {k + 1}", (x + 100, 400)) for k, x in enumerate(north)),
        *(mark("paddock", f"South {k + 1}", (x + 100, 100)) for k, x in enumerate(south)),
        mark("paddock", "Lane", (400, 250), use="lane"), mark("yard", "Yards", (-60, 250))]
    if stands:
        features += [mark("existing fence", "Block", *around),
                     *(mark("gate", name, (x, y)) for name, x, y in lane_ends)]
    else:
        lines.append(fence("Block", *around, gates=lane_ends))
    return job_of(*lines, features=features)
