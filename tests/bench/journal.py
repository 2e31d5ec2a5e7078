"""What an edit costs the window's thread while every edit is written into the journal, in a job of 2,000 features.

    python tests/bench/journal.py [EDITS]

Counted is everything that the document's ``job_changed`` sets off for the journal in the thread of the window, and,
apart from it, how long it takes from the edit until its record is forced to disk. Edits follow one another at the pace
of a person dragging quickly (20 ms). The limit for the window's thread is 5 ms an edit.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from job_samples import full_job, levels_of  # noqa: E402 - found by the path above
from PySide6.QtWidgets import QApplication  # noqa: E402

from planner.alignment.line import FenceLine  # noqa: E402
from planner.files.job_file import write_job  # noqa: E402
from planner.files.journal_records import journal_of  # noqa: E402
from planner.job.edits import AddFeature, ChangeFeature, MoveCorner, RenameJob  # noqa: E402
from planner.survey.features import Feature  # noqa: E402
from planner.ui.background import favour_window  # noqa: E402
from planner.ui.document import Document  # noqa: E402
from planner.ui.holding import Holding, taken  # noqa: E402
from planner.ui.journalling import Journalling  # noqa: E402

LIMIT_MS = 5.0


def main(edits: int) -> int:
    application = QApplication([])
    favour_window()
    features = tuple(Feature(f"F{k}", "rock", f"POINT ({500_000 + k} {6_000_000 + k})") for k in range(2000))
    lines = tuple(FenceLine(f"L{k}", "general-mesh", full_job().lines[1].xy + 50.0 * k) for k in range(100))
    job = replace(full_job(), features=features, lines=(*full_job().lines, *lines), grounds=(),
                  levels={line.name: levels_of(line) for line in lines})
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "farm.job.gpkg"
        write_job(path, job)
        document = Document()
        document.replan = lambda: None  # type: ignore[method-assign] - planning is another bench's
        holding = Holding(document)
        lock = taken(path)
        holding.keep(path, is_held=lock.is_held)
        journal = Journalling(document, holding, Path(folder) / "state", document)
        inside, own_time, until_written, sent = [], [], [], [0.0]
        own = journal._changed

        def timed(changed: object) -> None:
            sent[0], busy = time.perf_counter(), time.thread_time()
            own(changed)  # type: ignore[arg-type]
            inside.append(1000.0 * (time.perf_counter() - sent[0]))
            own_time.append(1000.0 * (time.thread_time() - busy))

        document.job_changed.disconnect(journal._changed)
        document.job_changed.connect(timed)
        document.start(job, path)
        inside.clear()
        own_time.clear()
        for k in range(edits):
            document.do((MoveCorner("L5", 0, 500_000.0 + k, 6_000_100.0),
                         AddFeature(Feature(f"New {k}", "rock", "POINT (500000 6000000)")),
                         ChangeFeature(document.job.features[k], replace(features[k], name=f"Named {k}")),
                         RenameJob(f"Farm {k}"))[k % 4])
            journal.flush()
            until_written.append(1000.0 * (time.perf_counter() - sent[0]))
            time.sleep(0.02)
        length = journal_of(path).stat().st_size
        journal.close()
        document.close()
        holding.close()
        application.processEvents()
    print(f"{'edits of a job with 2,000 features and 102 lines':<52}{edits:>10}")
    for words, row in (("in the window's thread, by the clock", inside),
                       ("in the window's thread, processor time", own_time), ("until forced to disk", until_written)):
        print(f"{words + ', middle [ms]':<52}{np.median(row):>10.2f}")
        print(f"{words + ', 99 in 100 [ms]':<52}{np.percentile(row, 99):>10.2f}")
        print(f"{words + ', most [ms]':<52}{max(row):>10.2f}")
    print(f"{'journal, bytes an edit':<52}{length // edits:>10}")
    return 0 if max(inside) <= LIMIT_MS else 1


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 400))
