"""How long the window takes from the start of its process to its first paint, and how much of it is the library's.

    xvfb-run -a .venv/bin/python tests/bench/first_paint.py [RUNS]

Three figures of each run: from the start of the process, from the start of Python's own work in it, and what the same
library takes for an empty window; medians and spreads are printed. Where the system lets it (as root), files are
dropped from memory once, for a cold start.
"""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

CHECKOUT = Path(__file__).resolve().parents[2]
WARM_S, COLD_S = 0.3, 0.6
DROP = Path("/proc/sys/vm/drop_caches")
OPENED = """
import json, sys, time
began = time.time()
from PySide6.QtCore import QEvent, QObject
from PySide6.QtWidgets import QApplication, QLabel
class Ear(QObject):
    def eventFilter(self, watched, event):
        if event.type() == QEvent.Type.Paint and watched.isWindow():
            print(json.dumps([began, time.time()]), flush=True)
            QApplication.instance().removeEventFilter(self)
            QApplication.instance().exit(0)
        return False
app = QApplication([sys.argv[0]])
ear = Ear()
app.installEventFilter(ear)
if sys.argv[1] == "ours":
    from planner.ui.app import open_window
    open_window()
else:
    label = QLabel("nothing")
    label.resize(1280, 800)
    label.show()
    app.exec()
"""


def opened(what: str, state: str) -> tuple[float, float]:
    """Seconds from the start of the process, and of Python in it, to the first paint."""
    asked = time.time()
    said = subprocess.run([sys.executable, "-c", OPENED, what], cwd=CHECKOUT, capture_output=True, text=True,
                          env={**os.environ, "STRAINWRIGHT_STATE": state, "XDG_CONFIG_HOME": state}, check=True).stdout
    began, painted = json.loads(said.splitlines()[0])
    return painted - asked, painted - began


def main(runs: int) -> None:
    """Prints medians and spreads."""
    with tempfile.TemporaryDirectory() as state:
        if DROP.exists() and DROP.stat().st_uid == 0:
            try:
                subprocess.run(["sync"], check=True)
                DROP.write_text("3")
                print(f"cold    from the process {opened('ours', state)[0]:.3f} s (wanted {COLD_S:g})")
            except OSError as trouble:
                print(f"cold    not to be had here ({trouble.strerror})")
        for what, called in (("ours", "the window"), ("empty", "an empty one")):
            opened(what, state)
            pairs = [opened(what, state) for _ in range(runs)]
            for name, times in zip(("process", "Python"), zip(*pairs, strict=True), strict=True):
                print(f"{called:<13} from the {name:<8} median {statistics.median(times):.3f} s, "
                      f"{min(times):.3f} to {max(times):.3f}" + (f" (wanted {WARM_S:g})" if what == "ours" else ""))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 8)
