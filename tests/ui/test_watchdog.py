"""The window does not freeze: not while a job is planned, not when a step is taken in hand, not after an edit."""

from __future__ import annotations

from collections.abc import Callable
from itertools import repeat
from threading import Event, Thread
from time import sleep, thread_time

from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot
from window_steps import settle

from planner.files.sample_farm import sample_job
from planner.job.derive import plan_job
from planner.job.edits import MoveCorner
from planner.ui.main_window import MainWindow
from planner.ui.watchdog import Watchdog
from planner.ui.way_state import STEPS, StepKey

LIMIT_MS = 50.0
WORK_LIMIT_MS = 75.0
"""The same for own work: its clock goes on while a core is shared, half as fast again on a machine that is full."""
HEAVIEST: tuple[StepKey, ...] = ("loads", "jobpack", "materials")


def test_the_watchdog_sees_a_freeze(qtbot: QtBot) -> None:
    watch = Watchdog()
    watch.start()
    qtbot.wait(20)
    sleep(0.08)
    qtbot.wait(20)
    assert watch.stop() > 60.0
    assert watch.busiest_ms < 60.0, "sleeping is no work"
    assert watch.ticks > 2


def test_the_watchdog_sees_work(qtbot: QtBot) -> None:
    watch = Watchdog()
    watch.start()
    qtbot.wait(20)
    until = thread_time() + 0.06
    while thread_time() < until:
        pass
    qtbot.wait(20)
    assert watch.stop() > 50.0
    assert watch.busiest_ms > 55.0


def own_work(window: MainWindow, qtbot: QtBot, does: Callable[[int], object]) -> float:
    """The most that the window's own thread works in one turn while something is done, best of a few rounds. [ms]"""
    found = []
    for number in range(3):
        watch = Watchdog(every_ms=2, parent=window)
        watch.start()
        does(number)
        settle(window, qtbot)
        qtbot.wait(10)
        watch.stop()
        found.append(watch.busiest_ms)
        if found[-1] < WORK_LIMIT_MS:
            break
    return min(found)


def test_no_step_and_no_edit_is_a_long_turn(sample_window: MainWindow, qtbot: QtBot) -> None:
    """By the clock of the window's own thread, so that a machine with much to do does not fail it."""
    window = sample_window
    corner = window.document.job.lines[0].xy[2]

    def edit(number: int) -> None:
        window.document.do(MoveCorner(window.document.job.lines[0].name, 2, corner[0] + 1.0 + number, corner[1]))

    worked = {}
    for key in HEAVIEST:
        window.take_step(key)
        settle(window, qtbot)

        def show(number: int, key: StepKey = key) -> None:
            window.take_step("survey")
            QApplication.processEvents()
            window.take_step(key)

        worked[f"panel {key}"] = own_work(window, qtbot, show)
    worked["edit"] = own_work(window, qtbot, edit)
    assert {what: round(ms) for what, ms in worked.items() if ms >= WORK_LIMIT_MS} == {}


def test_pages_are_made_ahead_in_short_turns(window: MainWindow, qtbot: QtBot) -> None:
    """A page that is asked for half made is made whole at once, and is the one that was begun."""
    window._make_ahead()
    assert window.work is not None
    panels, turns = window.work.panels, 0
    for _ in range(3):
        panels.make_next()
    begun = panels._begun["survey"]
    assert panels.pages == {}
    assert panels.show_step("survey") is panels.pages["survey"]
    assert next(begun, "whole") == "whole"
    longest = 0.0
    while True:
        at = thread_time()
        more = panels.make_next()
        longest = max(longest, (thread_time() - at) * 1000.0)
        if not more:
            break
        turns += 1
    assert set(panels.pages) == {step.key for step in STEPS}
    assert panels.count() == len(STEPS)
    assert turns > 4 * len(STEPS)
    assert longest < WORK_LIMIT_MS


def test_planning_does_not_freeze_the_window(sample_window: MainWindow, qtbot: QtBot) -> None:
    """The longest wait while the sample job is planned, less that of a window whose other thread only counts.

    What the second waits is the doing of the machine and of two threads in one program; work on the window's own
    thread, or a library that does not let go of the interpreter, would lengthen every run of the first.
    """
    plan_job(sample_job())  # libraries that a first plan loads are not what is watched here
    window, own, shared = sample_window, [], []
    document, watch = window.document, Watchdog(parent=window)
    for _ in range(4):
        document.plan = None
        watch.start()
        with qtbot.waitSignal(document.plan_changed, timeout=60_000):
            document.replan()
        qtbot.wait(50)
        own.append(watch.stop())
        if own[-1] < LIMIT_MS:
            return
    over = Event()
    counting = Thread(target=lambda: all(sum(range(500)) and not over.is_set() for _ in repeat(None)))
    counting.start()
    try:
        for _ in range(4):
            watch.start()
            document.plan_changed.emit(document.plan)
            qtbot.wait(1_000)
            shared.append(watch.stop())
    finally:
        over.set()
        counting.join()
    assert min(own) < LIMIT_MS + max(shared), f"waits of {own} ms, beside a thread that counts {shared} ms"
