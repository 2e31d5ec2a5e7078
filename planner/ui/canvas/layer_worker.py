"""Builds pyramids in the background and hands each level over as soon as it is ready."""

from __future__ import annotations

import ctypes
import sys
import threading
from collections.abc import Sequence

from PySide6.QtCore import QObject, Signal

from planner.ui.canvas.layer import VectorLayer
from planner.ui.canvas.pyramid import first_level, other_levels
from planner.ui.canvas.view import Bounds


class LayerWorker(QObject):
    """One thread at a time that builds the levels of some layers; new layers stop the old work.

    Attributes:
        level_ready: A layer, and one of its levels. Emitted in the thread that owns this object.
        finished: All levels of the last layers given are ready.
    """

    level_ready = Signal(object, object)
    finished = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._stop = threading.Event()
        self._threads: list[threading.Thread] = []

    @property
    def is_busy(self) -> bool:
        """True while levels are being built."""
        return not self._stop.is_set() and any(thread.is_alive() for thread in self._threads)

    def build(self, layers: Sequence[VectorLayer], extent: Bounds) -> None:
        """Starts on some layers; older work ends at its next step, and nobody waits for it."""
        self.drop()
        self._stop = threading.Event()
        thread = threading.Thread(target=self._run, args=(tuple(layers), extent, self._stop), daemon=True,
                                  name="map layers")
        self._threads = [own for own in self._threads if own.is_alive()] + [thread]
        thread.start()

    def drop(self) -> None:
        """Lets the work end at its next step."""
        self._stop.set()

    def stop(self) -> None:
        """Stops the work and waits for its last step."""
        self.drop()
        for thread in self._threads:
            thread.join()
        self._threads = []

    def _run(self, layers: tuple[VectorLayer, ...], extent: Bounds, stop: threading.Event) -> None:
        for layer in layers:
            level = None if stop.is_set() else first_level(layer, extent)
            if level is not None:
                self.level_ready.emit(layer, level)
        for layer in layers:
            for level in other_levels(layer, extent):
                if stop.is_set():
                    return
                self.level_ready.emit(layer, level)
        _give_back_memory()
        if not stop.is_set():
            self.finished.emit()


def _give_back_memory() -> None:
    """Hands back to the system what building freed; the GNU C library would keep it, a fifth of the whole."""
    if sys.platform == "linux":
        trim = getattr(ctypes.CDLL(None), "malloc_trim", None)
        if trim is not None:
            trim(0)
