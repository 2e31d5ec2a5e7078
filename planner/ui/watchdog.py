"""The watchdog: the longest time for which the window did not come back to its event loop. For tests and benches."""

from __future__ import annotations

from time import perf_counter, thread_time

from PySide6.QtCore import QObject, Qt, QTimer


class Watchdog(QObject):
    """Ticks in the event loop of the thread that made it, and remembers the longest wait between two ticks.

    Args:
        every_ms: How often it ticks. [ms]
        parent: Qt parent.

    Attributes:
        longest_ms: The longest time beyond a tick's due time. [ms]
        busiest_ms: The most that its thread worked between two ticks, by the clock of the thread itself, which does not
            run while other threads or other programs have the machine. [ms]
        ticks: How often it ticked.
    """

    def __init__(self, every_ms: int = 5, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._every = every_ms
        self.longest_ms, self.busiest_ms, self.ticks, self._last, self._worked = 0.0, 0.0, 0, 0.0, 0.0
        self._timer = QTimer(self)
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.setInterval(every_ms)
        self._timer.timeout.connect(self._tick)

    def start(self) -> None:
        """Begins to watch."""
        self.longest_ms, self.busiest_ms, self.ticks = 0.0, 0.0, 0
        self._last, self._worked = perf_counter(), thread_time()
        self._timer.start()

    def stop(self) -> float:
        """Stops, and gives the longest wait. [ms]"""
        self._tick()
        self._timer.stop()
        return self.longest_ms

    def _tick(self) -> None:
        now, worked = perf_counter(), thread_time()
        self.longest_ms = max(self.longest_ms, (now - self._last) * 1000.0 - self._every)
        self.busiest_ms = max(self.busiest_ms, (worked - self._worked) * 1000.0)
        self.ticks += 1
        self._last, self._worked = now, worked
