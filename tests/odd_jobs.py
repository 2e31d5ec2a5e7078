"""A job in which much is odd at once: corners, openings, options, stages, prices and levels, for tests of waivers."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from decimal import Decimal

import numpy as np

from planner.alignment.line import Crossing, FenceLine, Gate
from planner.geometry.arrays import Floats
from planner.job.job import Job
from planner.job.options import Option
from planner.job.stages import Stage
from planner.materials.prices import Price, PriceList
from planner.settings import Settings
from planner.survey.ground import LevelQuality, RecordedLevels

EAST, NORTH = 500_000.0, 6_000_000.0


def _line(name: str, *corners: tuple[float, float], gates: tuple[Gate, ...] = (),
          crossings: tuple[Crossing, ...] = ()) -> FenceLine:
    return FenceLine(name, "general-mesh", np.add(corners, [EAST, NORTH]), accuracy="rtk", gates=gates,
                     crossings=crossings)


def _gate(name: str, x: float, y: float) -> Gate:
    return Gate(name, EAST + x, NORTH + y, 4.2)


def _levels(line: FenceLine, quality: LevelQuality, *, moved: float = 0.0,
            level: Callable[[Floats], Floats] = lambda at: np.full(len(at), 100.0)) -> RecordedLevels:
    length = float(np.hypot(*np.diff(line.xy, axis=0).T).sum())
    at = np.union1d(np.arange(0.0, length, 2.0), [length])
    return RecordedLevels(line.xy + moved, at, level(at), np.full(len(at), 0.05), np.full(len(at), 3, dtype=np.int64),
                          0.05, ("surveyed levels",), quality)


def odd_job() -> Job:
    """Lines with corners too close, gates that overlap, options and stages that do not fit, levels that disagree."""
    openings = (_gate("a", 50, 100), _gate("b", 52, 100), _gate("c", 200, 100), _gate("d", 0.5, 100))
    lines = (
        _line("Close", (0, 0), (100, 0), (100.2, 0.3), (200, 40)),
        _line("Gates", (0, 100), (200, 100), (200, 200), gates=openings,
              crossings=(Crossing("w", EAST + 120, NORTH + 100, 0.0),)),
        _line("Bends", (0, 300), (100, 300), (104, 301), (107, 303), (160, 373)),
        _line("Cross one", (400, 0), (400, 200)), _line("Cross two", (300, 100), (500, 100)),
        _line("Short run", (600, 0), (608, 0), (608, 100)),
        _line("Gate line", (700, 0), (900, 0), gates=(_gate("g", 800, 0),)), _line("Into", (800, 0), (800, 100)))
    by_name = {line.name: line for line in lines}
    rough = LevelQuality(cell_m=30.0, quantum_m=1.0, walked_off_m=10.0, walked_spread_m=20.0, survey_off_m=5.0,
                         survey_spread_m=0.1, survey_worst_m=0.2, survey_worst_at_m=50.0)
    levels = {
        "Cross one": _levels(by_name["Cross one"], rough),
        "Cross two": _levels(by_name["Cross two"], LevelQuality(in_feet="terrain", in_feet_m=328.0)),
        "Bends": _levels(by_name["Bends"], LevelQuality(), moved=9.0),
        "Close": _levels(by_name["Close"], LevelQuality(),
                         level=lambda at: 100.0 + np.clip(at - 50.0, 0.0, 10.0) * 1.3)}
    by_weight = Price("barbed-wire-ht", "kg", 25.0, Decimal("5.00"), "store", date(2026, 7, 1))
    return Job("Odd", "EPSG:7855", lines, levels=levels,
               options=(Option("one", ("Bends", "Nowhere")), Option("two", ())),
               stages=(Stage("first", ("Gates", "Cross one")), Stage("second", ("Gates",))),
               settings=Settings().changed({"roll_joins_allowed": False, "trailer_payload_kg": 60.0}),
               prices=PriceList({("barbed-wire-ht", 25.0): by_weight}))
