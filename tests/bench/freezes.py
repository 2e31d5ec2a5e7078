"""How long the window's thread stays away from its event loop: panels, edits, opening, the job pack. Run by hand.

Two figures each: the longest wait, which has in it what other threads and other programs did with the machine, and the
most that the window's thread itself worked in one turn.

    xvfb-run -a .venv/bin/python tests/bench/freezes.py
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import NamedTuple

from PySide6.QtCore import QCoreApplication, QSettings
from PySide6.QtWidgets import QApplication

from planner.ui.app import name_application
from planner.ui.background import favour_window
from planner.ui.main_window import MainWindow
from planner.ui.preferences import Preferences
from planner.ui.watchdog import Watchdog
from planner.ui.way_state import STEPS

ROUNDS = 5


def wait(seconds: float, until: Callable[[], bool] = lambda: False) -> None:
    """Runs the event loop for a time, or until something is so."""
    end = time.perf_counter() + seconds
    while time.perf_counter() < end and not until():
        QCoreApplication.processEvents()
        time.sleep(0.0002)


def settled(window: MainWindow) -> bool:
    """True when nothing is being opened or worked out."""
    document, work = window.document, window.work
    if window.desk.opening.is_running or document._again.isActive() or document._task or document._ground.task:
        return False
    return work is None or (work.map.is_idle and work.canvas.is_settled)


class Waits(NamedTuple):
    """The longest wait, and the most own work in one turn. [ms]"""

    wait: float
    work: float

    def __str__(self) -> str:
        return f"{self.wait:6.0f} {self.work:6.0f}"


def best(waits: Iterable[Waits]) -> Waits:
    """The least of each: what is not the machine's doing comes again in every round."""
    every = list(waits)
    return Waits(min(w.wait for w in every), min(w.work for w in every))


def longest(window: MainWindow, does: Callable[[], object], *, seconds: float = 0.4) -> Waits:
    """The longest wait while something is done and what follows from it settles."""
    watch = Watchdog(every_ms=2, parent=window)
    watch.start()
    wait(0.02)
    does()
    wait(seconds)
    wait(60.0, lambda: settled(window))
    wait(0.1)
    watch.stop()
    return Waits(watch.longest_ms, watch.busiest_ms)


def main() -> None:
    """Prints the longest waits."""
    application = QApplication([sys.argv[0]])
    name_application(application)
    favour_window()
    with tempfile.TemporaryDirectory() as folder:
        window = MainWindow(Preferences(QSettings(f"{folder}/likes.ini", QSettings.Format.IniFormat)), Path(folder))
        window.desk.ask_unsaved = lambda name, what: "leave"
        window.resize(1440, 900)
        window.show()
        window.begin()
        wait(2.0)
        print("                              wait   work [ms]")
        print(f"opening the sample, first   {longest(window, window.desk.open_sample, seconds=3.0)}", flush=True)
        again = best(longest(window, window.desk.open_sample, seconds=2.0) for _ in range(2))
        print(f"opening the sample, again   {again}")
        for step in STEPS:
            first = longest(window, lambda step=step: window.take_step(step.key))  # type: ignore[misc]
            window.take_step("survey" if step.key != "survey" else "line")
            wait(0.3)
            later = longest(window, lambda step=step: window.take_step(step.key))  # type: ignore[misc]
            print(f"panel {step.key:10} first      {first}")
            print(f"panel {step.key:10} later      {later}", flush=True)
        for step in STEPS:
            window.take_step(step.key)
            wait(0.3)
            print(f"edit with panel {step.key:10}  {best(edit(window, k) for k in range(ROUNDS))}", flush=True)
        window.close()
        window.deleteLater()


def edit(window: MainWindow, number: int) -> Waits:
    """The longest wait after a corner was moved."""
    from planner.job.edits import MoveCorner

    line = window.document.job.lines[0]
    x, y = (line.xy[2] + (1.0 if number % 2 else -1.0)).tolist()
    return longest(window, lambda: window.document.do(MoveCorner(line.name, 2, x, y)))


if __name__ == "__main__":
    main()
