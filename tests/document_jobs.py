"""Jobs for the documents that are handed over: a boundary, a creek, options, stages, prices and long names."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import numpy as np
from sheet_jobs import LONG_GATE, LONG_NAME, RIDGE_CHAINAGE, RIDGE_LEVEL, levels_along

from planner.alignment.line import FenceLine, Gate, GroundStretch
from planner.job.derive import catalogue_of, plan_job
from planner.job.job import Job
from planner.job.options import Option
from planner.job.plan import JobPlan
from planner.job.stages import Stage
from planner.materials.prices import Price, PriceList
from planner.survey.features import Feature

TODAY = date(2026, 3, 7)
_EAST, _NORTH = 455_000.0, 5_951_800.0
_START = np.array([_EAST, _NORTH])


def handed_over_job() -> Job:
    """A 1.4 km line eastward, 3 m inside a boundary and 35 m from a creek, with a branch that a later stage builds."""
    xy = np.array([(0.0, 0.0), (700.0, 0.0), (1400.0, 60.0)]) + _START
    gate = xy[0] + np.array([60.0, 0.0])
    main = FenceLine(LONG_NAME, "general-mesh", xy, False, "rtk",
                     (Gate(LONG_GATE, float(gate[0]), float(gate[1]), 4.2),),
                     stretches=(GroundStretch(300.0, 520.0, "ledge"),))
    branch = FenceLine("Branch", "cattle-barbed-4", np.array([(500.0, 0.0), (500.0, -300.0)]) + _START)
    features = (
        Feature("Parcel of the neighbour with a name that is long as well", "boundary",
                f"LINESTRING ({_EAST} {_NORTH + 3}, {_EAST + 700} {_NORTH + 3}, {_EAST + 1400} {_NORTH + 63})",
                (("accuracy", "survey"),)),
        Feature("Wollombi Creek", "water", f"LINESTRING ({_EAST - 50} {_NORTH + 35}, {_EAST + 700} {_NORTH + 40}, "
                f"{_EAST + 1450} {_NORTH + 100})"))
    level = np.interp
    job = Job(LONG_NAME, "EPSG:7855", lines=(main, branch), features=features,
              levels={LONG_NAME: levels_along(xy, lambda at: level(at, RIDGE_CHAINAGE, RIDGE_LEVEL))},
              options=(Option("mesh", note="stock-proof"), Option("barbed", (), ((LONG_NAME, "cattle-barbed-4"),))),
              stages=(Stage("first year", (LONG_NAME,), 2027), Stage("second year", ("Branch",), 2028)))
    job = replace(job, settings=job.settings.changed({"standard_fence": "cattle-barbed-4"}))
    return replace(job, prices=all_prices(job))


def all_prices(job: Job, *, without: tuple[str, ...] = (), dated: date = TODAY) -> PriceList:
    """A price for every item of the catalogue and for labour, but for some."""
    prices = [Price(i.key, i.unit, pack, (Decimal(repr(pack)) * 7 / 20 + 3).quantize(Decimal("0.01")), "store", dated)
              for i in catalogue_of(job).items.values() for pack in (i.stock_m or (i.pack,))]
    prices.append(Price("labour", "h", 1.0, Decimal("62.50"), "crew", dated))
    return PriceList({(p.item, p.pack): p for p in prices if p.item not in without})


def handed_over_plan(job: Job | None = None) -> JobPlan:
    return plan_job(job or handed_over_job(), today=TODAY)
