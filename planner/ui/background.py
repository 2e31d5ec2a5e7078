"""Work that takes long: one thread each, with a bar, and a way to stop it. Results come back to the window's thread."""

from __future__ import annotations

import gc
import sys
import threading
from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QObject, Qt, QTimer, Signal, Slot

from planner.errors import Cancelled, PlannerError
from planner.progress import Progress

SHOWN_FIRST_MS = 90
"""How long work on a job that was just opened waits for the window to show it. [ms] Measured with
tests/bench/freezes.py."""
TURN_SECONDS = 0.0002
"""How long one thread may hold the interpreter while another waits. [s]

The window gives the interpreter up at every call into Qt and waits this long to have it back, some hundred times in one
turn: Python's own 5 ms add up to a freeze. Two threads that count, side by side, lose nothing that can be measured.
"""


SWEEPS = (20_000, 50, 100)
"""How many new objects before the interpreter sweeps for rings of them: a sweep over a long job's plan stops every
thread for a tenth of a second, and plans, being frozen, have no rings. Measured with tests/bench/freezes.py."""


def favour_window() -> None:
    """Lets the window's thread have its turn sooner while work goes on in others, and be stopped seldom."""
    sys.setswitchinterval(TURN_SECONDS)
    gc.set_threshold(*SWEEPS)


class _Courier(QObject):
    """Carries news from a thread to the window's. It outlives the task, which may go while its thread still works."""

    progressed = Signal(float, str)
    over = Signal(str, object)

    def __init__(self) -> None:
        super().__init__()
        self.cancel = threading.Event()
        self.over.connect(self._go, Qt.ConnectionType.QueuedConnection)

    def report(self, fraction: float, text: str) -> None:
        """Passes progress on to the window."""
        self.progressed.emit(fraction, text)

    def stop_if_cancelled(self) -> None:
        """Raises when the user has asked to stop."""
        if self.cancel.is_set():
            raise Cancelled

    def run(self, work: Callable[[Progress], Any]) -> None:
        """Does the work, in the thread it is called in, and sends word of its end."""
        try:
            result = work(self)
        except Cancelled:
            self.over.emit("stopped", None)
        except PlannerError as trouble:
            self.over.emit("failed", trouble)
        except Exception as bug:  # noqa: BLE001 - a bug in a worker goes to the window's own hook
            self.over.emit("failed", bug)
        else:
            self.over.emit("stopped" if self.cancel.is_set() else "done", result)

    def _go(self) -> None:
        _on_the_way.discard(self)  # in the window's thread, to which it belongs


_on_the_way: set[_Courier] = set()


class Task(QObject):
    """One piece of background work.

    Signals are delivered in the thread that made the task, all of those of its end in one go: whoever lets go of the
    task when it ends takes the news from nobody else. A task that goes while its thread works hears no more of it.

    Args:
        title: What it is, for the foot line.
        work: The work; takes a Progress, gives a result.
        parent: Qt parent.
    """

    progressed = Signal(float, str)
    done = Signal(object)
    failed = Signal(object)
    stopped = Signal()
    finished = Signal()

    def __init__(self, title: str, work: Callable[[Progress], Any], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.title = title
        self._is_begun = False
        self._courier = _Courier()
        self._courier.progressed.connect(self.progressed, Qt.ConnectionType.QueuedConnection)
        self._courier.over.connect(self._tell_end, Qt.ConnectionType.QueuedConnection)
        self._thread = threading.Thread(target=self._courier.run, args=(work,), name=title, daemon=True)

    def start(self, *, after_ms: int = 0) -> None:
        """Begins the work in its own thread.

        Args:
            after_ms: How long it may wait, so that the window shows first what it has: threads that count beside it
                make its own work take twice as long. Whoever waits for the work begins it at once. [ms]
        """
        self._is_begun = True
        if after_ms:
            QTimer.singleShot(after_ms, self, self._start_now)
        else:
            self._start_now()

    def _start_now(self) -> None:
        if self._is_begun and self._thread.ident is None:
            _on_the_way.add(self._courier)
            self._thread.start()

    def cancel(self) -> None:
        """Asks the work to stop; it does at its next step."""
        self._courier.cancel.set()

    def wait(self, seconds: float = 30.0) -> bool:
        """Waits for the thread to end, and says whether it has."""
        self._start_now()
        if self._thread.ident is not None:
            self._thread.join(seconds)
        return not self._thread.is_alive()

    @property
    def is_running(self) -> bool:
        """True from its beginning until its thread has ended."""
        return self._is_begun and (self._thread.ident is None or self._thread.is_alive())

    @property
    def is_cancelled(self) -> bool:
        """True once somebody has asked it to stop."""
        return self._courier.cancel.is_set()

    @Slot(str, object)
    def _tell_end(self, how: str, what: object) -> None:
        if how == "stopped" or (how == "done" and self.is_cancelled):
            self.stopped.emit()
        elif how == "failed":
            self.failed.emit(what)
        else:
            self.done.emit(what)
        self.finished.emit()
