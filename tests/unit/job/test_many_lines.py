"""Many lines planned by several processes: the very same plan, and an end when somebody asks for it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from concurrent.futures.process import BrokenProcessPool
from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from planner.alignment.line import FenceLine
from planner.errors import Cancelled
from planner.job.derive import plan_job
from planner.job.derive_line import plan_line
from planner.job.job import Job
from planner.job.many_lines import PAYS_FROM_M, processes_for
from planner.job.plan import LineInputs, LinePlan
from planner.jobpack.plan_json import plan_record
from planner.spec.catalogue import load_catalogue
from tests.plain_jobs import EAST, NORTH

DAY = date(2026, 11, 2)


def lines(number: int, length_m: float = 700.0) -> tuple[FenceLine, ...]:
    return tuple(FenceLine(f"Line {k}", ("electric-3", "general-mesh")[k % 2], np.array(
        [(EAST, NORTH + 50.0 * k), (EAST + length_m / 2, NORTH + 50.0 * k + 20.0),
         (EAST + length_m, NORTH + 50.0 * k)])) for k in range(number))


class _Stops:
    """Somebody who asks to stop after some reports."""

    def __init__(self, after: int) -> None:
        self.left = after

    def report(self, fraction: float, text: str) -> None:
        self.left -= 1

    def stop_if_cancelled(self) -> None:
        if self.left <= 0:
            raise Cancelled


def test_two_processes_plan_what_one_plans():
    job = Job("Many", "EPSG:7855", lines(9))
    one, two = (plan_job(job, today=DAY, processes=processes) for processes in (1, 2))
    assert json.dumps(plan_record(one)) == json.dumps(plan_record(two))


def test_what_was_planned_elsewhere_is_taken_over_the_next_time():
    job = Job("Many", "EPSG:7855", lines(5))
    first = plan_job(job, today=DAY, processes=2)
    again = plan_job(replace(job, name="Renamed"), today=DAY, previous=first)
    assert all(a is b for a, b in zip(first.lines, again.lines, strict=True))


@pytest.mark.parametrize("done", [0, 2])
def test_where_the_system_ends_a_process_the_rest_is_planned_in_turn(monkeypatch: pytest.MonkeyPatch, done: int):
    class Ended:
        def __init__(self, *_: object, **__: object) -> None:
            self.closed = False

        def map(self, _: object, inputs: list[LineInputs], chunksize: int) -> Iterator[LinePlan]:
            for one in inputs[:done]:
                yield plan_line(one, load_catalogue())
            raise BrokenProcessPool

        def shutdown(self, **_: object) -> None:
            self.closed = True

    job = Job("Many", "EPSG:7855", lines(4))
    expected = json.dumps(plan_record(plan_job(job, today=DAY, processes=1)))
    monkeypatch.setattr("planner.job.many_lines.ProcessPoolExecutor", Ended)
    assert json.dumps(plan_record(plan_job(job, today=DAY, processes=2))) == expected


@pytest.mark.parametrize("processes", [1, 2])
def test_it_ends_when_somebody_asks(processes: int):
    with pytest.raises(Cancelled):
        plan_job(Job("Many", "EPSG:7855", lines(9)), today=DAY, processes=processes, progress=_Stops(3))


class _Long:
    """What the count of processes reads of a line's inputs."""

    def __init__(self, length_m: float) -> None:
        self.line = lines(1, length_m)[0]


@pytest.mark.parametrize(("number", "share", "several"), [(8, 1.0, True), (8, 0.9, False), (7, 2.0, False)])
def test_processes_are_started_where_they_pay(number: int, share: float, several: bool, monkeypatch):
    monkeypatch.setattr("os.sched_getaffinity", lambda _: {0, 1}, raising=False)
    inputs = [_Long(share * PAYS_FROM_M / number)] * number
    assert (processes_for(inputs) > 1) is several  # type: ignore[arg-type]
