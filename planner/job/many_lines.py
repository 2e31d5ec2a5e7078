"""Many lines planned at once: one after the other, or shared out over processes where that pays."""

from __future__ import annotations

import multiprocessing
import os
import signal
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import BrokenExecutor, ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import replace

import numpy as np

from planner.job.derive_line import plan_line
from planner.job.plan import LineInputs, LinePlan
from planner.progress import Part, Progress
from planner.spec.catalogue import Catalogue
from planner.units import Metre

PAYS_FROM_M: Metre = 150_000.0
"""Length of line below which starting processes takes longer than it saves. [m] Measured: tests/bench/plan_lines.py."""
_LEAST_LINES = 8
_MOST_AT_ONCE = 8  # lines handed to a process in one go: whoever interrupts waits for no more than these
_of_process: list[Catalogue] = []


def processes_for(inputs: Sequence[LineInputs]) -> int:
    """How many processes some lines are worth: as many as there are cores where they are long, else one.

    Args:
        inputs: The lines that have to be planned.
    """
    if len(inputs) < _LEAST_LINES or _length(inputs) < PAYS_FROM_M:
        return 1
    return max(1, min(len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1,
                      len(inputs)))


def plan_lines(inputs: Sequence[LineInputs], catalogue: Catalogue, kept: Mapping[LineInputs, LinePlan], *,
               processes: int | None, progress: Progress) -> list[LinePlan]:
    """A plan for each line, in order; those that are known are taken over.

    Args:
        inputs: The lines.
        catalogue: What they are planned from.
        kept: Plans that are known already.
        processes: How many to use; None to use as many as pay. The plans are the same whatever their number.
        progress: Told of each line.

    Raises:
        BadFenceType: A line asks for an item or assembly that does not exist.
        Cancelled: The user asked to stop.
    """
    known: list[LinePlan | None] = [kept.get(one) for one in inputs]
    missing = [one for one, plan in zip(inputs, known, strict=True) if plan is None]
    number = processes_for(missing) if processes is None else processes
    made = iter(_shared_out(missing, catalogue, number, progress) if number > 1 and len(missing) > 1
                else _in_turn(missing, catalogue, progress))
    return [plan if plan is not None else next(made) for plan in known]


def _in_turn(inputs: Sequence[LineInputs], catalogue: Catalogue, progress: Progress) -> list[LinePlan]:
    plans = []
    for number, one in enumerate(inputs):
        progress.stop_if_cancelled()
        progress.report(number / len(inputs), f"planning {one.line.name}")
        plans.append(plan_line(one, catalogue))
    return plans


def _shared_out(inputs: Sequence[LineInputs], catalogue: Catalogue, processes: int,
                progress: Progress) -> list[LinePlan]:
    """Lines planned by processes of their own, started afresh so that no thread and no lock comes along."""
    plans: list[LinePlan] = []
    pool = ProcessPoolExecutor(processes, mp_context=multiprocessing.get_context("spawn"), initializer=_begin,
                               initargs=(catalogue,))
    try:
        chunk = max(1, min(_MOST_AT_ONCE, len(inputs) // (8 * processes)))
        with _interrupts_held_up():  # handed down to the processes, which leave interrupts to whoever started them
            made = pool.map(_plan, inputs, chunksize=chunk)
        for one, plan in zip(inputs, made, strict=True):
            progress.stop_if_cancelled()
            progress.report(len(plans) / len(inputs), f"planning {one.line.name}")
            plans.append(_brought_home(plan, one))
    except BrokenExecutor:  # the system ended a process, as it does where memory runs out: one at a time needs least
        rest = inputs[len(plans):]
        return [*plans, *_in_turn(rest, catalogue, Part(progress, len(plans) / len(inputs), 1.0))]
    finally:
        pool.shutdown(wait=True, cancel_futures=True)
    return plans


@contextmanager
def _interrupts_held_up() -> Iterator[None]:
    """Interrupts wait until the end of the block, where the system knows how to hold them up."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _begin(catalogue: Catalogue) -> None:
    """In a new process: an interrupt is the business of whoever started it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _of_process[:] = [catalogue]


def _plan(one: LineInputs) -> LinePlan:
    return plan_line(one, _of_process[0])


def _brought_home(plan: LinePlan, inputs: LineInputs) -> LinePlan:
    """A plan made elsewhere, speaking of the very records of this process, which are compared by identity."""
    return replace(plan, inputs=inputs, line=inputs.line, fence=inputs.fence,
                   works=tuple(replace(work, fence=inputs.fence) for work in plan.works))


def _length(inputs: Sequence[LineInputs]) -> Metre:
    return float(sum(np.hypot(*np.diff(one.line.xy[:, :2], axis=0).T).sum() for one in inputs))
