"""The sample farm planned badly: the mistakes of the trade on one farm, for what the checks say of it.

    .venv/bin/python tests/bad_sample.py FOLDER

writes it as FOLDER/bad-sample.job.gpkg, to be opened in the window or read with ``strainwright check``.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
from drawn import MapCorner, of_day

from planner.alignment.line import FenceLine, Gate, GroundStretch
from planner.files.sample_farm import sample_job
from planner.files.survey_in import Wanted, survey_into
from planner.job.job import Job
from planner.job.stages import Stage
from planner.settings import Settings
from planner.shipped import sample_data
from planner.surroundings.clearances import Clearance
from planner.survey.features import Feature
from planner.upkeep.records import Inspection, Records

EAST, NORTH = 455_000.0, 5_951_000.0
DAY = date(2026, 11, 2)
"""Day on which it is planned."""
_AT = MapCorner(EAST, NORTH)
_line, _thing = _AT.line, _AT.thing


def _creek(x: float) -> float:
    """North of the creek's middle, from the map's corner. [m]"""
    return 640.0 + 95.0 * float(np.sin(x / 240.0)) + 60.0 * float(np.sin(x / 610.0 + 1.0)) - 0.03 * x


def _more_lines() -> tuple[FenceLine, ...]:
    """Fences that nobody with thirty years in the wire would draw like this."""
    return (
        # straight over the gully in holes dug by hand, so that the strain lifts the posts in the dip; and 3 m short
        _line("Gully fence", "general-mesh", (1060, 880), (1527.8, 880), stretches=(GroundStretch(0.0, 470.0, "dug"),)),
        # along the creek, inside the flood and the set-back
        _line("Creek fence", "cattle-barbed-4", *((x, _creek(x) + 16.0) for x in (700.0, 800.0, 900.0))),
        # a paddock that no gate leads into and no water lies in, built a year after the fence it hangs on
        _line("Ridge cut", "sheep-mesh", (2050, 1791.1), (2300, 1500), (2757.4, 1476.3)),
        # traced off a picture
        _line("Shelter fence", "sheep-mesh", (2040, 1280), (2120, 1280), (2140, 1280.3), (2160, 1280), (2180, 1280.3),
              (2200, 1280), (2340, 1280)),
        # beside the barbed top wire of the boundary
        _line("Hot wire", "electric-1", (2200, 362.6), (2300, 355.4)),
        # the same sixty metres twice
        _line("Shelter end", "sheep-mesh", (2340, 1280), (2340, 1400)),
        _line("Shelter wing", "sheep-mesh", (2340, 1340), (2340, 1450)),
    )


def _more_features() -> tuple[Feature, ...]:
    return (
        _thing("service", "House supply", (1150, 840), (1210, 940), what="water pipe"),
        _thing("existing fence", "Shelter wire", (2040, 1280), (2340, 1280), fate="is reused"),
        _thing("vegetation", "Creek bush", (760, 640), (840, 640), (840, 690), (760, 690), area=True, kind="native"),
        _thing("road reserve", "Ridge Road", (300, 1765), (1130, 1728), (1130, 1748), (300, 1785), area=True),
        _thing("track", "Ford track", (1500, 300), (1500, 900)))


def _with_setback(features: tuple[Feature, ...]) -> tuple[Feature, ...]:
    return tuple(replace(feature, attributes=(*feature.attributes, ("setback", "20")))
                 if feature.meaning == "water" else feature for feature in features)


def bad_sample() -> Job:
    """The sample farm with a neighbour's land fenced in, a crossing and gates forgotten, a stage that comes later, an
    enquiry that ran out after the job was issued, prices of years ago and a visit not followed."""
    job = sample_job()
    home, division = job.lines
    xy = home.xy.copy()
    out = int(np.argmin(np.hypot(*(xy - (EAST + 2741.3, NORTH + 322.8)).T)))
    xy[out] += (3.0, -3.0)
    home = replace(home, xy=xy, crossings=home.crossings[1:],
                   gates=tuple(replace(gate, width_m=3.05) if gate.name == "G1" else gate for gate in home.gates))
    narrow = tuple(replace(gate, width_m=3.05) for gate in division.gates)
    division = replace(division, gates=(*narrow, Gate("G9", EAST + 1500, NORTH + 1050, 4.2)))
    features = (*_with_setback(job.features), *_more_features())
    job = replace(job, lines=(home, division, *_more_lines()), features=features,
                  settings=Settings().changed({"widest_machine_m": 4.0}),
                  clearances=(Clearance("services", "", date(2026, 9, 1), "4711", date(2026, 9, 29)),
                              Clearance("issued", "", date(2026, 10, 1), "foreman")),
                  records=Records(inspections=(Inspection("Creek fence", "", date(2026, 8, 1), "Jo", "two posts broken",
                                                          "Replace them."),)))
    job = replace(job, stages=(Stage("now", tuple(line.name for line in job.lines if line.name != "Ridge cut")),
                               Stage("next year", ("Ridge cut",), 2027)))
    notes = job.notes
    job = survey_into(job, [], [sample_data() / "terrain.tif"], Wanted(fence="general-mesh", stated="EPSG:7855")).job
    return replace(job, name="Sample farm, planned badly", notes=notes, prices=of_day(job.prices, date(2023, 5, 1)))


if __name__ == "__main__":
    from planner.files.job_file import write_job

    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    write_job(folder / "bad-sample.job.gpkg", bad_sample())
