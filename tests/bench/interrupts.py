"""Interrupts ``strainwright plan`` (Ctrl+C, SIGINT) at random moments; the job must be as it was, or as it is planned.

    python tests/bench/interrupts.py [TIMES] [LINES]

Each time a process plans LINES lines (6; 40 of them are shared out over processes) into a job that has one line, and is
interrupted at a moment between its start and its end (fixed seed; how long a run takes is measured first). Afterwards
the job must hold either exactly what it held, byte for byte, or all of the new lines; nothing else may lie beside it;
the process must have ended, with one sentence and no traceback, and its own processes within two seconds. Where it was
interrupted before Python had begun or after it had ended its work, the system ends it (status -2) and nothing is said.
"""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from command_line import write_lines  # noqa: E402 - found by the path above

from planner.errors import PlannerError  # noqa: E402
from planner.files.job_file import read_job  # noqa: E402

SENTENCE = "strainwright: stopped; nothing half-written was left.\n"
LONGEST_WAIT_S = 120.0
MOST_BEHIND_S = 2.0
SHARED_OUT_FROM = 8


def program(*words: object) -> subprocess.Popen[str]:
    return subprocess.Popen([sys.executable, "-m", "planner", *map(str, words)], cwd=ROOT, stdout=subprocess.PIPE,
                            stderr=subprocess.PIPE, text=True, start_new_session=True)


def large_source(path: Path, lines: int) -> Path:
    """Lines that rise and fall; long enough together to be shared out over processes when there are many."""
    corners = 5_000 // lines if lines >= SHARED_OUT_FROM else 60
    return write_lines(path, {f"L{k}": [(15.0 * i, 90.0 * k + 40.0 * (i % 2), float(i % 7)) for i in range(corners)]
                              for k in range(lines)})


def once(folder: Path, source: Path, before: bytes, after_s: float, wanted: int) -> tuple[str, str, float]:
    """What became of the job, what was wrong ("" when nothing), and how long the process took to end."""
    job = folder / "farm.job.gpkg"
    job.write_bytes(before)
    running = program("plan", source, "--job", job, "--accuracy", "survey")
    time.sleep(after_s)
    asked = time.perf_counter()
    os.killpg(running.pid, signal.SIGINT)  # as a terminal does: to every process of the command
    try:
        _, err = running.communicate(timeout=LONGEST_WAIT_S)
    except subprocess.TimeoutExpired:
        os.killpg(running.pid, signal.SIGKILL)
        running.communicate()
        return "unknown", f"did not end within {LONGEST_WAIT_S:.0f} s", LONGEST_WAIT_S
    took = time.perf_counter() - asked
    ended = running.returncode
    beside = sorted(p.name for p in folder.iterdir() if p not in (job, source, folder / "small.geojson"))
    if job.read_bytes() == before:
        became = "as it was"
    else:
        try:
            became = "planned" if len(read_job(job).lines) == wanted + 1 else "neither"
        except PlannerError as trouble:
            became = f"not to be opened: {trouble}"
    wrong = ""
    if became not in ("as it was", "planned"):
        wrong = f"the job is {became}"
    elif ended not in (0, 130, -signal.SIGINT) or (ended == 0 and became != "planned"):
        wrong = f"ended with {ended}, {became}: {err[-300:]!r}"
    elif err not in {0: ("",), 130: (SENTENCE,)}.get(ended, ("", SENTENCE)):
        wrong = f"said {err[-2000:]!r}"
    elif set(beside) - {"farm.job.gpkg.bak"}:
        wrong = f"left {beside}"
    elif not _all_end(running.pid):
        wrong = "left a process"
    return f"{became}, status {ended}", wrong, took


def _all_end(group: int) -> bool:
    """Whether every process of a group has ended within seconds of the first: its helpers see that it went."""
    end = time.monotonic() + MOST_BEHIND_S
    while time.monotonic() < end:
        try:
            os.killpg(group, 0)
        except ProcessLookupError:
            return True
        time.sleep(0.01)
    return False


def main(times: int, lines: int) -> int:
    chance, found, wrong, waits = random.Random("strainwright interrupts"), Counter[str](), [], []
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        source = large_source(folder / "large.geojson", lines)
        job = folder / "farm.job.gpkg"
        small = write_lines(folder / "small.geojson", {"Home": [(-900, 0, 1.0), (-800, 0, 2.0)]})
        assert program("plan", small, "--job", job).wait() == 0
        before = job.read_bytes()
        started = time.perf_counter()
        assert program("plan", source, "--job", job, "--accuracy", "survey").wait() == 0
        whole = time.perf_counter() - started
        for name in folder.iterdir():
            if name not in (job, source, small):
                name.unlink()
        for number in range(times):
            became, trouble, took = once(folder, source, before, chance.uniform(0.15, whole), lines)
            found[became] += 1
            waits.append(took)
            if trouble:
                wrong.append(f"{number}: {trouble}")
            for name in folder.iterdir():
                if name not in (job, source, small):
                    name.unlink()
    print(f"{'interrupts of a run of seconds':<48}{times:>8}{whole:>8.1f}")
    for what, count in sorted(found.items()):
        print(f"{what:<48}{count:>8}")
    waits.sort()
    print(f"{'seconds until it ended: middle, most':<48}{waits[len(waits) // 2]:>8.2f}{waits[-1]:>8.2f}")
    print(f"{'wrong':<48}{len(wrong):>8}")
    print("\n".join(wrong))
    return 1 if wrong else 0


if __name__ == "__main__":
    raise SystemExit(main(*(int(word) for word in (sys.argv[1:] + ["200", "6"][len(sys.argv) - 1:]))))
