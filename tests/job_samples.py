"""Jobs that tests put together by hand."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import numpy as np

from planner.alignment.line import Crossing, FenceLine, Gate, GroundStretch
from planner.findings import Finding, Place
from planner.job.job import Job, Waiver
from planner.job.options import Option
from planner.job.quote_terms import EVERY_GROUND, Extra, Multiplier, QuoteTerms
from planner.job.stages import Stage
from planner.materials.prices import Price, PriceList
from planner.settings import Settings
from planner.sources import Source
from planner.surroundings.clearances import Clearance
from planner.survey.features import Feature
from planner.survey.fixes import MeasuredPoint
from planner.survey.ground import LevelQuality, RecordedLevels
from planner.upkeep.records import AsBuilt, Built, Inspection, Loss, Progress, Records

EAST, NORTH = 500_000.0, 6_000_000.0
ODD_NAME = "Ngāi Tahu – «Peña» №1 'n\" \\ 羊圈 🐑"
OWN_FENCE = '# our own\nname = "Ours, with \'quotes\' and ümlauts"\n'


def corners(*xy: tuple[float, float]) -> np.ndarray:
    """Corners beyond (500 000, 6 000 000)."""
    return np.array(xy, dtype=np.float64) + np.array([EAST, NORTH])


def levels_of(line: FenceLine, *, unknown: bool = False) -> RecordedLevels:
    """A short profile of a line, with a gap in it where wanted."""
    length = float(np.hypot(*np.diff(line.xy, axis=0).T).sum())
    at = np.linspace(0.0, length, 9)
    level, sd = 100.0 + np.sin(at / 50.0), np.full(9, 0.03)
    source = np.array([3, 3, 2, 2, 2, 0, 0, 2, 3], dtype=np.int64)
    if unknown:
        level[5:7], sd[5:7] = np.nan, np.nan
    return RecordedLevels(line.xy, at, level, sd, source, 0.03, ("survey", "terrain.tif"),
                          LevelQuality(cell_m=2.0, survey_off_m=0.1 + 0.2))


DAY = date(2026, 11, 2)


def full_job() -> Job:
    """A job with something in every place that a job has."""
    home = FenceLine(
        ODD_NAME, "ours", corners((0, 0), (400, 0), (400, 300), (0, 300), (0, 0)), closed=True, accuracy="rtk",
        gates=(Gate("G1", EAST + 50.1, NORTH, 4.2), Gate("G2 – back", EAST + 400, NORTH + 1 / 3, 3.6, "gate-3600")),
        crossings=(Crossing("FG", EAST + 200, NORTH, 36.0), Crossing("FG 2", EAST, NORTH + 150, 12.0, 2.6)),
        stretches=(GroundStretch(0.0, 250.0, "soil"), GroundStretch(250.0, 520.0, "ledge")),
        origin="C:\\farm\\boundary.shp, row 1")
    creek = FenceLine("Creek", "cattle-barbed-4", corners((0, 500.123456789), (300, 510)), wires_on="right")
    return Job(
        name="Home “block”", crs="EPSG:7855", lines=(home, creek), levels={home.name: levels_of(home, unknown=True)},
        features=(Feature("Creek", "water", "LINESTRING (500000 6000500, 500300 6000510.25)", (("width", "4"),),
                          "a, row 1"),
                  Feature("Wood", "vegetation", "POLYGON ((500000 6000000, 500010 6000000, 500010 6000010, 500000 "
                          "6000000))"),
                  Feature("Trough", "trough", "POINT (500005 6000005)")),
        points=(MeasuredPoint("P1", EAST + 1 / 7, NORTH, 101.25, "ground", None, "survey", "points.csv", 2),
                MeasuredPoint("P2", EAST, NORTH + 5, None, "gate", 4.2, "unknown", "points.csv", 3)),
        settings=Settings().changed({"corner_deg": 17.5, "roll_joins_allowed": False, "currency": "NZD"}),
        own_fences={"ours": OWN_FENCE}, own_items='[ours]\ndescription = "ours"\n',
        prices=PriceList({("steel-post-1800", 10.0): Price("steel-post-1800", "each", 10.0, Decimal("89.9050"),
                                                           "Rural store", date(2026, 1, 5), "standard")}),
        waivers=(Waiver("line-03", home.name, "120 m", "it is meant so"), Waiver("materials-04", "", "", "later")),
        notes=("Working grid GDA2020 / MGA zone 55.", "second\nnote; with ; marks"),
        made_at="2026-03-01T12:00:00+00:00", grounds=("/farm/terrain.tif",),
        terms=QuoteTerms(mark_up=Decimal("0.15"), rates=(("end assemblies", Decimal("62.50")),),
                         multipliers=(Multiplier("mesh", EVERY_GROUND, 1.5),
                                      Multiplier("end assemblies", "ledge", 2.0)),
                         extras=(Extra("Rock", "h", Decimal("180.0")), Extra("Clearing", "m")), valid_days=45,
                         inclusions=("=all of it", "Ngāi")),
        options=(Option("A", (ODD_NAME,), note="shorter"),
                 Option("B", ("Creek",), (("Creek", "sheep-mesh"),), "", 12.5)),
        option="B", stages=(Stage("first", (ODD_NAME,), 2026, "with the creek"), Stage("then", ("Creek",))),
        clearances=(Clearance("services", "", DAY, "=12/7", date(2026, 12, 1)), Clearance("neighbour", "Creek"),
                    Clearance("funding", not_needed="nobody pays")),
        noticed=(Finding("read-01", "error", "line 3 has 'north' for its y; left out.", "Mend that row.",
                         Place(file="/farm/points.csv", row=3)),
                 Finding("read-02", "warning", "'G1' stands far off.", "Look at it.", Place(ODD_NAME, x=1.5, y=-2.25),
                         Source("Their manual", "2020", "table 3"))),
        records=Records(
            (Progress(ODD_NAME, "A1", "posts", 1 / 3, DAY, "rock"),),
            (AsBuilt("walk", "Creek", "LINESTRING (500000 6000500, 500300 6000510.25)", "rtk", None, "a.gpx, row 1"),),
            (Inspection("Creek", "", DAY, "Jo", "slack", "strain", True, Decimal("12.50"), 4.2, "hangs"),
             Inspection(ODD_NAME, "A1", DAY)),
            (Loss("Creek", 10.0, 60.5, DAY, "flood", "box 3", 2.5, "one span"),),
            (Built("Creek", DAY, Decimal("100"), 25.0), Built(ODD_NAME, DAY))))


def empty_job() -> Job:
    """A job with nothing in it."""
    return Job("", "EPSG:7855")
