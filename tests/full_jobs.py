"""A job with everything: features of every meaning, gates, options, stages, clearances, records, live wires."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import numpy as np
from document_jobs import TODAY, all_prices
from sheet_jobs import LONG_GATE, LONG_NAME, RIDGE_CHAINAGE, RIDGE_LEVEL, levels_along

from planner.alignment.line import Crossing, FenceLine, Gate, GroundStretch
from planner.job.job import Job
from planner.job.options import Option
from planner.job.stages import Stage
from planner.surroundings.clearances import Clearance
from planner.survey.features import Feature
from planner.upkeep.records import AsBuilt, Built, Inspection, Loss, Progress, Records

_E, _N = 455_000.0, 5_951_800.0
_CREEK = "Little Cobbannah Creek above the old stock bridge, branch B"
_NEIGHBOUR = "Estate of the late Margaret Featherstonehaugh-Cholmondeley A"
_LANE = "Lane from the far north paddock down to the woolshed yards A"
_LIVE = "Electric subdivision of the creek flat, three wires, stage A"
_SHORT = "Holding paddock beside the woolshed, post and rail, stage AB"
_PLACES = ("between the double gates and the first crest, ", "in the gully under the power line, ", "at the creek, ")


def long(text: str) -> str:
    """A name brought to 60 characters."""
    return (text + " of the upper holding, as the owner calls it on the map")[:60].strip().ljust(60, "x")


def _line(name: str, fence: str, *corners: tuple[float, float], **more: object) -> FenceLine:
    return FenceLine(name, fence, np.array(corners) + np.array((_E, _N)), **more)  # type: ignore[arg-type]


def _wkt(kind: str, *corners: tuple[float, float]) -> str:
    text = ", ".join(f"{_E + x} {_N + y}" for x, y in corners)
    return {"POINT": f"POINT ({text})", "LINESTRING": f"LINESTRING ({text})", "POLYGON": f"POLYGON (({text}))"}[kind]


def _square(x: float, y: float, side: float) -> tuple[tuple[float, float], ...]:
    return ((x, y), (x + side, y), (x + side, y + side), (x, y + side), (x, y))


def _features() -> tuple[Feature, ...]:
    line, area, point = "LINESTRING", "POLYGON", "POINT"
    given = (
        ("Title boundary", "boundary", _wkt(line, (-50, 4), (700, 4), (1450, 64)),
         (("neighbour", _NEIGHBOUR), ("accuracy", "traced"), ("inside", "right"))),
        (_CREEK, "water", _wkt(line, (620, 200), (640, -50), (560, -700)), (("width", "4"), ("setback", "10"))),
        ("Farm dam", "water", _wkt(area, *_square(850, -300, 90)), (("part", "edge"), ("setback", "20"))),
        ("Flood flat", "flood", _wkt(area, *_square(560, -200, 180)), (("risk", "high"),)),
        ("Red gums", "trees", _wkt(area, *_square(300, -40, 60)), (("height", "28"), ("state", "dead or dead limbs"))),
        ("Lone stringybark", "trees", _wkt(point, (980, 15)), (("height", "22"),)),
        ("Remnant woodland", "vegetation", _wkt(area, *_square(1050, -60, 150)), (("kind", "native"),)),
        ("Granite shelf", "ground", _wkt(area, *_square(380, -60, 120)), (("class", "ledge"),)),
        ("High voltage line", "service", _wkt(line, (760, 300), (790, -700)),
         (("lies", "above ground"), ("what", "power"), ("clearance", "10"))),
        ("Water main", "service", _wkt(line, (200, 100), (230, -700)), (("what", "water pipe"), ("clearance", "2"))),
        ("Shire road reserve", "road reserve", _wkt(line, (-50, 12), (1450, 78)), (("authority", long("Shire")),)),
        ("Farm track", "track", _wkt(line, (-40, -20), (500, -60), (1000, -120), (1380, -500)), ()),
        ("Top trough", "trough", _wkt(point, (450, -150)), ()),
        ("Creek trough", "trough", _wkt(point, (900, -450)), ()),
        ("Woolshed yards", "yard", _wkt(area, *_square(20, -560, 60)), ()),
        ("Top paddock", "paddock", _wkt(point, (300, -150)), (("use", "stock"), ("stock", "sheep"))),
        ("Creek flat", "paddock", _wkt(point, (900, -500)), (("use", "stock"), ("stock", "cattle"))),
        ("Grandfather's fence", "existing fence", _wkt(line, (0, 0), (0, -600)),
         (("fate", "stays"), ("built", "1978"), ("type", "cattle-barbed-4"))),
        ("Worn boundary", "existing fence", _wkt(line, (100, -1), (690, -1)), (("fate", "is pulled out"),)),
        ("Hanging gate", "gate", _wkt(point, (0, -300)), (("width", "4.2"),)),
        ("Scar tree ground", "protected", _wkt(area, *_square(1200, -90, 80)), (("authority", long("Council")),)),
        ("Photograph of the crest", "photo point", _wkt(point, (410, -20)), (("bearing", "75"),)),
        ("Survey mark", "control point", _wkt(point, (10, -10)),
         (("of", "title boundary"), ("east", str(_E + 8.0)), ("north", str(_N - 11.0)))),
        ("Shed energiser", "energiser", _wkt(point, (700, -595)), (("joules", "12"), ("earth rods", "6"))))
    return tuple(Feature(name if len(name) > 50 else long(name), meaning, wkt, tuple(facts))
                 for name, meaning, wkt, facts in given)


def _records() -> Records:
    walked = " ".join(f"{_PLACES[k % 3]}{k + 1} posts lifted and the bottom wire slack;" for k in range(3))
    return Records(
        progress=tuple(Progress(line, "", part, share, date(2026, 2, day), "wet for two days, then two hands short")
                       for line, day in ((LONG_NAME, 20), (_LIVE, 27))
                       for part, share in (("ends", 1.0), ("posts", 0.65), ("wires", 0.2))),
        as_built=(AsBuilt(long("Walk with the receiver"), LONG_NAME,
                          _wkt("LINESTRING", (0, 0.4), (350, -0.8), (700, 0.6)), "rtk",
                          date(2026, 2, 25), "walk-2026-02-25.gpx"),),
        inspections=(Inspection(LONG_NAME, "", date(2026, 3, 1), "Margaret Featherstonehaugh", walked,
                                "Foot them, tie low", cost=Decimal("410.00")),
                     Inspection(_LIVE, "", date(2026, 3, 2), "J", "", "", True, far_end_kv=4.6, floodgate="holds")),
        losses=(Loss(_SHORT, 10.0, 90.0, date(2026, 3, 3), "flood", "42 pictures, folder 'flood march'", 6.5,
                     "gate found 300 m downstream, hinges sound"),),
        built=(Built(_SHORT, date(2026, 1, 20), Decimal("8400.00"), 25.0),))


def full_job() -> Job:
    """Six lines round and through 90 ha with all that a job can hold; every name has 60 characters."""
    top = _line(LONG_NAME, "general-mesh", (0, 0), (700, 0), (1400, 60), accuracy="rtk", wires_on="right",
                gates=(Gate(LONG_GATE, _E + 60.0, _N, 4.2),),
                crossings=(Crossing(_CREEK, _E + 636.0, _N, 14.0, 2.2),),
                stretches=(GroundStretch(300.0, 520.0, "ledge"), GroundStretch(900.0, 960.0, "stony")))
    east = _line(long("East side"), "cattle-barbed-5", (1400, 60), (1380, -600), accuracy="dgnss")
    south = _line(long("South side"), "sheep-mesh", (1380, -600), (0, -600), accuracy="handheld",
                  gates=(Gate(long("Road gate"), _E + 1300.0, _N - 600.0, 3.6),))
    live = _line(_LIVE, "electric-3", (700, 0), (700, -600), accuracy="traced",
                 gates=(Gate(long("Flat gate"), _E + 700.0, _N - 550.0, 3.6),))
    lane = _line(_LANE, "stock-lane", (0, -450), (700, -450),
                 gates=(Gate(long("Lane gate"), _E + 30.0, _N - 450.0, 4.2),))
    rails = _line(_SHORT, "post-and-rail", (110, -600), (110, -450), accuracy="survey")
    lines = (top, east, south, live, lane, rails)
    levels = {top.name: levels_along(top.xy, lambda at: np.interp(at, RIDGE_CHAINAGE, RIDGE_LEVEL))}
    levels |= {line.name: levels_along(line.xy, lambda at, k=k: 225.0 + 7.0 * np.sin(at / 90.0 + k))
               for k, line in enumerate(lines[1:])}
    job = Job(LONG_NAME, "EPSG:7855", lines=lines, features=_features(), levels=levels, records=_records(),
              options=(Option(long("Mesh"), (), (), "keeps lambs in and dogs out, dearer by the metre"),
                       Option(long("Barbed"), (), ((LONG_NAME, "cattle-barbed-4"),), "cattle only", 18.0)),
              stages=(Stage(long("First year"), (top.name, east.name), 2027, "before lambing"),
                      Stage(long("Second year"), (south.name, _LIVE, _LANE), 2028)),
              clearances=(Clearance("services", "", date(2026, 3, 1), "ENQ-4471-228", date(2026, 3, 29)),
                          Clearance("neighbour", _NEIGHBOUR, None, note="letter sent, no answer yet"),
                          Clearance("funding", "", not_needed="no grant is asked for")),
              notes=("Key under the third post.",))
    return replace(job, prices=all_prices(job, without=("labour",), dated=TODAY))
