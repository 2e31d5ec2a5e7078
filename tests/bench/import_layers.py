"""How long until a million imported corners can be seen, and until every level is ready; and what memory they take.

    python tests/bench/import_layers.py [corners]
"""

from __future__ import annotations

import os
import sys
from itertools import pairwise
from pathlib import Path
from time import perf_counter

from PySide6.QtCore import QEventLoop, QTimer
from PySide6.QtWidgets import QApplication
from snap import layer

from planner.ui.canvas.map_canvas import MapCanvas


def megabytes() -> float:
    """Memory that this process holds. [MB] 0 where the system does not say."""
    statm = Path("/proc/self/statm")
    return int(statm.read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6 if statm.exists() else 0.0


def main() -> None:
    """Prints a table."""
    application = QApplication.instance() or QApplication([])
    corners = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    layers = [layer(corners // 3, seed) for seed in (1, 2, 3)]
    canvas = MapCanvas()
    canvas.resize(1600, 1000)
    canvas.show()
    application.processEvents()
    before, done, seen, first_levels = megabytes(), [], [], []
    canvas.settled.connect(lambda: seen.append(perf_counter()))
    canvas.layers_ready.connect(lambda: done.append(perf_counter()))
    canvas.level_taken.connect(lambda: first_levels.append(perf_counter()))
    begun = perf_counter()
    canvas.set_layers(layers)
    canvas.fit()
    beats: list[float] = []
    heart = QTimer()
    heart.timeout.connect(lambda: beats.append(perf_counter()))
    heart.start(2)
    loop = QEventLoop()
    canvas.layers_ready.connect(lambda: QTimer.singleShot(500, loop.quit))
    loop.exec()
    longest = max(later - sooner for sooner, later in pairwise(beats))
    first = next(at for at in seen if at > first_levels[len(layers) - 1])
    print(f"{corners} corners: usable {first - begun:.2f} s, ready {done[0] - begun:.2f} s, "
          f"longest hold of the window {longest * 1e3:.0f} ms, memory {megabytes() - before:.0f} MB")
    canvas.close()


if __name__ == "__main__":
    main()
