"""Kills a process with SIGKILL at random moments of saving; each time the job must open, old or new, never between.

    python tests/bench/kills.py [KILLS]

A process saves two jobs in turn over the same file, a small and a large one, and tells before each save which it is
about to write. The moments are random over several saves (fixed seed). After each kill the job is opened: it must be
one of the two last written; its backup must open as well; and no more drafts than the killed one's may be left.
"""

from __future__ import annotations

import random
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from job_samples import full_job, levels_of  # noqa: E402 - found by the path above

from planner.alignment.line import FenceLine  # noqa: E402
from planner.files.atomic_save import backup_of  # noqa: E402
from planner.files.job_file import read_job, state_of, write_job  # noqa: E402
from planner.job.job import Job  # noqa: E402


def job_number(number: int) -> Job:
    """A job that says its number; every other one is some hundred kilobytes larger."""
    job = replace(full_job(), notes=(f"save {number}",))
    if number % 2:
        lines = tuple(replace(FenceLine(f"Line {k}", "cattle-barbed-4", job.lines[1].xy + k)) for k in range(300))
        job = replace(job, lines=(*job.lines, *lines), levels={**job.levels, **{n.name: levels_of(n) for n in lines}})
    return job


def save_for_ever(path: Path, first: int) -> None:
    number = first
    while True:
        job = job_number(number)
        print(f"begin {number}", flush=True)
        write_job(path, job, was=state_of(path))
        print(f"done {number}", flush=True)
        number += 1


def killed_once(path: Path, first: int, chance: random.Random) -> tuple[int, int]:
    """Number of the last save that was finished and of the last that was begun."""
    with subprocess.Popen([sys.executable, __file__, "--save", str(path), str(first)], stdout=subprocess.PIPE,
                          text=True) as process:
        assert process.stdout is not None
        began, done = process.stdout.readline(), first - 1
        time.sleep(chance.uniform(0.0, 0.4))
        process.send_signal(signal.SIGKILL)
        begun = int(began.split()[1]) if began else first
        for line in process.stdout:
            if line.endswith("\n"):
                word, number = line.split()
                begun, done = (int(number), done) if word == "begin" else (begun, int(number))
    return done, begun


def main(kills: int) -> int:
    chance, found, wrong = random.Random("strainwright kills"), Counter[str](), []
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "farm.job.gpkg"
        write_job(path, job_number(0))
        started, most_left = time.perf_counter(), 0
        now = 0
        for kill in range(kills):
            done, begun = killed_once(path, now + 1, chance)
            try:
                now = int(read_job(path).notes[0].split()[1])
            except Exception as trouble:  # noqa: BLE001 - whatever goes wrong here is what is looked for
                wrong.append(f"kill {kill}: {trouble}")
                break
            found["the state before the save" if now < begun else "the state after it"] += 1
            if not done <= now <= begun:
                wrong.append(f"kill {kill}: save {done} was finished and {begun} begun, but the job holds {now}")
            backup = backup_of(path)
            if backup.exists():
                again = path.with_name("again.job.gpkg")
                again.write_bytes(backup.read_bytes())
                read_job(again)
                again.unlink()
                found["with a backup that opens"] += 1
            most_left = max(most_left, sum(1 for p in path.parent.iterdir() if p.name.startswith(".")))
        seconds = time.perf_counter() - started
    print(f"{'kills':<42}{kills:>8}")
    for what, count in sorted(found.items()):
        print(f"{what:<42}{count:>8}")
    print(f"{'most drafts left beside the job at once':<42}{most_left:>8}")
    print(f"{'jobs that did not open or held neither':<42}{len(wrong):>8}")
    print(f"{'seconds':<42}{seconds:>8.0f}")
    print("\n".join(wrong))
    return 1 if wrong else 0


if __name__ == "__main__":
    if sys.argv[1:2] == ["--save"]:
        save_for_ever(Path(sys.argv[2]), int(sys.argv[3]))
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 300))
