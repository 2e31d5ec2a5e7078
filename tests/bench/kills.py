"""Kills a process with SIGKILL at random moments of saving, and of writing the journal; no edit may be lost.

    python tests/bench/kills.py [KILLS] [saves|journal]

Saves: a process saves two jobs in turn over the same file, a small and a large one, and tells before each save which
it is about to write. The moments are random over several saves (fixed seed). After each kill the job is opened: it
must be one of the two last written; its backup must open as well; and no more drafts than the killed one's may be left.

Journal: a process edits a job without a pause and saves it now and then; it tells each edit before it is made, and
again once the journal has told that it is written, or the save has returned. After each kill the job is opened and its
journal brought back, as the window does: it must be exactly the job after some edit that was made, and none before
the last that was told of as written. The next process goes on from there. Both sides build the same jobs from the
same code: run it in a checkout that nobody changes meanwhile.
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
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from job_samples import full_job, levels_of  # noqa: E402 - found by the path above

from planner.alignment.line import FenceLine  # noqa: E402
from planner.files.atomic_save import backup_of  # noqa: E402
from planner.files.job_file import read_job, state_of, write_job  # noqa: E402
from planner.files.journal import recovered  # noqa: E402
from planner.files.journal_records import journal_of, look_at  # noqa: E402
from planner.files.journal_writer import JournalWriter, Standing  # noqa: E402
from planner.job.job import Job  # noqa: E402
from planner.survey.features import Feature  # noqa: E402

MARKS = tuple(Feature(f"Mark {k}", "rock", f"POINT ({500_000 + k} 6000000)") for k in range(2000))


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


def job_after_edit(number: int) -> Job:
    """The job after so many edits: every one moves a corner, adds a mark or takes many away, and leaves a note."""
    job = full_job()
    creek = job.lines[1].with_corners(job.lines[1].xy + number)
    return replace(job, lines=(job.lines[0], creek), features=MARKS[:number % len(MARKS)], notes=(f"edit {number}",))


def as_opened(path: Path) -> tuple[Job, bool]:
    """The job with what its journal holds, and whether the journal had anything to add."""
    left = look_at(journal_of(path)) if journal_of(path).is_file() else None
    found = recovered(left) if left is not None else None
    return (found.job, True) if found is not None else (read_job(path), False)


def edit_for_ever(path: Path) -> None:
    job, was_left = as_opened(path)
    number = int(job.notes[0].split()[1])
    writer = JournalWriter(path.parent / "state", failed=lambda trouble: _tell("trouble", trouble),
                           written=lambda _, last: _tell("written", last.notes[0].split()[1]))
    writer.stand_on(Standing(None if was_left else job, path, state_of(path), may_stand_beside=True))
    if was_left:
        writer.add(job, "bring back edits")
        writer.flush()
    chance = random.Random(number)
    while True:
        number += 1
        _tell("made", number)
        job = job_after_edit(number)
        writer.add(job, f"edit {number}")
        if chance.random() < 0.5:
            time.sleep(chance.uniform(0.0, 0.02))
        if chance.random() < 0.1:
            write_job(path, job, was=state_of(path))
            _tell("written", number)
            writer.stand_on(Standing(job, path, state_of(path), may_stand_beside=True))


def _tell(word: str, what: object) -> None:
    os.write(1, f"{word} {what}\n".encode())  # two threads tell; one call keeps a line whole


def journal_kills(kills: int) -> int:
    chance, found, wrong = random.Random("strainwright journal kills"), Counter[str](), []
    edits = 0
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "farm.job.gpkg"
        write_job(path, job_after_edit(0))
        started = time.perf_counter()
        for kill in range(kills):
            with subprocess.Popen([sys.executable, __file__, "--edit", str(path)], stdout=subprocess.PIPE,
                                  text=True) as process:
                assert process.stdout is not None
                first = process.stdout.readline()
                time.sleep(chance.uniform(0.0, 0.4))
                process.send_signal(signal.SIGKILL)
                told = [first, *process.stdout]
            made, written = 0, 0
            for words in (line.split() for line in told if line.endswith("\n")):
                if words[0] == "trouble":
                    wrong.append(f"kill {kill}: {' '.join(words)}")
                    continue
                made = max(made, int(words[1])) if words[0] == "made" else made
                written = max(written, int(words[1])) if words[0] == "written" else written
            try:
                job, had_more = as_opened(path)
            except Exception as trouble:  # noqa: BLE001 - whatever goes wrong here is what is looked for
                wrong.append(f"kill {kill}: {trouble}")
                break
            now = int(job.notes[0].split()[1])
            found["brought back from the journal" if had_more else "all of it in the file"] += 1
            found["holding an edit made after the last told of"] += now > written
            edits = now
            if job != job_after_edit(now) or not written <= now <= max(made, written):
                wrong.append(f"kill {kill}: edit {written} was written and {made} made, but the job holds {now}")
        seconds = time.perf_counter() - started
    print(f"{'kills while editing and saving':<48}{kills:>8}")
    for what, count in sorted(found.items()):
        print(f"{what:<48}{count:>8}")
    print(f"{'edits that were made and kept in all':<48}{edits:>8}")
    print(f"{'jobs that did not open, or lost a written edit':<48}{len(wrong):>8}")
    print(f"{'seconds':<48}{seconds:>8.0f}")
    print("\n".join(wrong))
    return 1 if wrong else 0


def save_kills(kills: int) -> int:
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


def main(kills: int, what: str) -> int:
    status = save_kills(kills) if what in ("", "saves") else 0
    return max(status, journal_kills(kills) if what in ("", "journal") else 0)


if __name__ == "__main__":
    if sys.argv[1:2] == ["--save"]:
        save_for_ever(Path(sys.argv[2]), int(sys.argv[3]))
    if sys.argv[1:2] == ["--edit"]:
        edit_for_ever(Path(sys.argv[2]))
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 300, sys.argv[2] if len(sys.argv) > 2 else ""))
