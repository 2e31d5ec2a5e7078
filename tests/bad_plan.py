"""A farm planned with the mistakes of the trade, for what the checks say of it: every one of them, once, and no more.

    .venv/bin/python tests/bad_plan.py FOLDER

writes it as FOLDER/bad-plan.job.gpkg, to be opened in the window or read with ``strainwright check``.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
from drawn import MapCorner, of_day

from planner.alignment.line import Crossing, FenceLine
from planner.files.readers.price_list import read_price_list
from planner.job.derive import catalogue_of
from planner.job.job import Job
from planner.job.stages import Stage
from planner.settings import Settings
from planner.shipped import sample_data
from planner.surroundings.clearances import Clearance
from planner.survey.features import Feature
from planner.survey.ground import RecordedLevels
from planner.upkeep.records import Inspection, Records

EAST, NORTH = 500_000.0, 6_000_000.0
DAY = date(2026, 5, 1)
"""Day on which it is planned."""
_AT = MapCorner(EAST, NORTH)
_line, _gate, _thing = _AT.line, _AT.gate, _AT.thing


def _levels(line: FenceLine) -> RecordedLevels:
    """Level ground at 100 m; a gully under the line of that name, a steep rise under the line on the hill."""
    legs = np.hypot(*np.diff(line.xy, axis=0).T)
    at = np.union1d(np.arange(0.0, legs.sum(), 5.0), [legs.sum()])
    level = np.full(len(at), 100.0)
    if line.name == "Gully":
        level -= 5.0 * np.clip(1.0 - np.abs(at - 150.0) / 40.0, 0.0, 1.0)
    if line.name == "Hill":
        level += np.interp(at, (100.0, 200.0), (0.0, 30.0))
    return RecordedLevels(line.xy, at, level, np.full(len(at), 0.02), np.full(len(at), 3, dtype=np.int64), 0.02,
                          ("surveyed levels",))


def _lines() -> tuple[FenceLine, ...]:
    """A block of three paddocks, a lane, and single fences south and east of it."""
    return (
        _line("North", "general-mesh", (0, 600), (400, 600), (800, 600)),
        _line("West", "general-mesh", (0, 0), (0, 600),
              gates=(_gate("Front gate", 0, 300, 3.05), _gate("Lane gate", 0, 101.75, 3.05))),
        _line("South", "general-mesh", (0, 0), (800, 0)),
        _line("East", "general-mesh", (800, 0), (800, 600)),
        _line("Middle", "sheep-mesh", (400, 0), (400, 600), gates=(_gate("Centre gate", 400, 300, 4.27),)),
        _line("Old line", "sheep-mesh", (600, 0), (600, 600)),
        _line("Lane", "stock-lane", (0, 100), (-300, 100)),
        _line("Lane far side", "stock-lane", (0, 103.5), (-300, 103.5)),
        _line("River", "cattle-barbed-4", (200, 0), (200, -300)),
        _line("Spur", "cattle-barbed-4", (1000, 0), (1300, 0)),
        _line("Spur again", "cattle-barbed-4", (1200, 0), (1500, 0)),
        _line("Traced", "cattle-barbed-4", (1000, 100), (1150, 100), (1170, 100.2), (1190, 100), (1210, 100.2),
              (1230, 100), (1500, 100)),
        _line("Gully", "sheep-mesh", (1000, 200), (1300, 200)),
        _line("Hill", "cattle-barbed-4", (1000, 250), (1300, 250), gates=(_gate("Hill gate", 1150, 250, 4.27),)),
        _line("Hot wire", "electric-1", (1000, 101), (1150, 101)),
        _line("Ford", "riparian-drop-wire", (1000, 300), (1300, 300),
              crossings=(Crossing("Long span", EAST + 1150, NORTH + 300, 130.0, 2.0),)),
        _line("Pocket", "cattle-barbed-4", (1000, 400), (1200, 400), (1040, 520)),
        _line("Short", "cattle-barbed-4", (803, 500), (950, 500), gates=(_gate("Lost gate", 900, 530, 4.27),)),
    )


def _features() -> tuple[Feature, ...]:
    creek = "creek-map.shp, row 1"
    return (
        _thing("boundary", "Neighbour's boundary", (-400, 597), (900, 597), inside="right", accuracy="survey",
               neighbour="J. Hill"),
        _thing("water", "Mill Creek", (-200, -12), (900, -12), flows="as drawn", setback="20", width="4",
               origin=creek),
        _thing("flood", "Mill Creek flat", (100, -150), (300, -150), (300, -2), (100, -2), area=True),
        _thing("trough", "West trough", (200, 300)), _thing("trough", "Centre trough", (500, 300)),
        _thing("paddock", "West paddock", (100, 300)), _thing("paddock", "Centre paddock", (450, 300)),
        _thing("paddock", "East paddock", (700, 300)), _thing("paddock", "Lane", (-100, 102), use="lane"),
        _thing("existing fence", "Yard fence", (-300, 80), (-300, 120)),
        _thing("gate", "Yard gate", (-300, 101.75), width="3"), _thing("yard", "Yards", (-320, 100)),
        _thing("service", "22 kV line", (1400, -200), (1400, 50), lies="above ground", what="power"),
        _thing("service", "House supply", (1250, 150), (1250, 240), what="water pipe"),
        _thing("trees", "Dead gum", (1206, 404), height="18", state="dead or dead limbs"),
        _thing("trees", "Old box", (1000, 300.4)),
        _thing("existing fence", "Hill fence", (600, 10), (600, 590), fate="is reused"),
        _thing("vegetation", "Creek bush", (190, -290), (210, -290), (210, -200), (190, -200), area=True,
               kind="native"),
        _thing("road reserve", "Hill Road", (1000, 402), (1100, 402), (1100, 420), (1000, 420), area=True),
        _thing("track", "Creek track", (-100, -50), (-100, 50)),
        _thing("control point", "Ford mark", (0, -20), of="creek-map", east=f"{EAST + 6}", north=f"{NORTH - 12}"),
        _thing("control point", "Bridge mark", (800, -20), of="creek-map", east=f"{EAST + 806}", north=f"{NORTH - 12}"),
        _thing("control point", "Pool mark", (400, -20), of="creek-map", east=f"{EAST + 406}", north=f"{NORTH - 12}"))


def bad_plan() -> Job:
    """The job, with prices of years ago, an enquiry that ran out after the job was issued, and a visit not followed."""
    lines = _lines()
    job = Job("Bad plan", "EPSG:7855", lines, {line.name: _levels(line) for line in lines}, _features(),
              settings=Settings().changed({"widest_machine_m": 4.0}),
              clearances=(Clearance("services", "", date(2026, 3, 1), "4711", date(2026, 3, 29)),
                          Clearance("issued", "", date(2026, 4, 1), "foreman")),
              stages=(Stage("now", tuple(line.name for line in lines if line.name != "Old line")),
                      Stage("next year", ("Old line",), 2027)),
              records=Records(inspections=(Inspection("Spur", "", date(2026, 2, 1), "Jo", "two posts broken", "Replace "
                                                      "them."),)))
    prices, _ = read_price_list(sample_data() / "prices.csv", catalogue_of(job).items)
    return replace(job, prices=of_day(prices, date(2023, 5, 1)))


if __name__ == "__main__":
    from planner.files.job_file import write_job

    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    write_job(folder / "bad-plan.job.gpkg", bad_plan())
