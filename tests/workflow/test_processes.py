"""The program as a process of its own: exit statuses, a reader that goes away, and an interruption half-way."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from command_line import command, write_lines

CHECKOUT = Path(__file__).resolve().parents[2]
PROGRAM = (sys.executable, "-W", "error", "-m", "planner")


def started(*words: object, stdout: int = subprocess.PIPE) -> subprocess.Popen[str]:
    return subprocess.Popen([*PROGRAM, *map(str, words)], cwd=CHECKOUT, stdout=stdout, stderr=subprocess.PIPE,
                            text=True, encoding="utf-8", env={**os.environ, "PYTHONIOENCODING": "utf-8"})


def test_a_job_is_planned_and_checked_without_a_display_or_a_word_too_much(tmp_path: Path):
    source = write_lines(tmp_path / "knot.geojson", {"Knot": [(0, 0), (100, 0), (100, 50), (50, -50)]})
    planned = started("plan", source, "--job", tmp_path / "farm.job.gpkg")
    out, err = planned.communicate(timeout=60)
    assert (planned.returncode, err) == (0, "")
    assert "Knot: general-mesh" in out
    checked = started("check", tmp_path / "farm.job.gpkg")
    out, err = checked.communicate(timeout=60)
    assert (checked.returncode, err) == (1, "")
    assert "ERROR" in out


@pytest.mark.parametrize("words", [("plan", "gone.gpx", "--job", "gone.job.gpkg"), ("fly",), ("check", ".")])
def test_what_cannot_be_done_is_one_sentence_and_2(words: tuple[str, ...]):
    refused = started(*words)
    out, err = refused.communicate(timeout=60)
    assert (refused.returncode, out) == (2, "")
    assert err.count("\n") == 1
    assert "Traceback" not in err


@pytest.mark.parametrize("words", [("fences",), ("fences", "--json"), ("--help",)])
def test_a_reader_that_goes_away_is_no_trouble(words: tuple[str, ...]):
    read, write = os.pipe()
    os.close(read)
    gone = started(*words, stdout=write)
    os.close(write)
    _, err = gone.communicate(timeout=60)
    assert (gone.returncode, err) == (0, "")


@pytest.mark.skipif(os.name == "nt", reason="signals of this kind are not sent there")
@pytest.mark.parametrize("seconds", [0.8, 1.6])
def test_an_interruption_leaves_the_old_job_as_it_was(tmp_path: Path, seconds: float):
    job = tmp_path / "farm.job.gpkg"
    small = write_lines(tmp_path / "small.geojson", {"Home": [(0, 0, 1.0), (100, 0, 2.0)]})
    assert command("plan", small, "--job", job).status == 0
    before = job.read_bytes()
    zigzag = [(15.0 * i, 40.0 * (i % 2), float(i % 7)) for i in range(12_000)]
    large = write_lines(tmp_path / "large.geojson", {f"L{k}": [(x, y + 100 * k, z) for x, y, z in zigzag]
                                                     for k in range(4)})
    running = started("plan", large, "--job", job, "--accuracy", "survey")
    time.sleep(seconds)
    running.send_signal(signal.SIGINT)
    out, err = running.communicate(timeout=60)
    # a shell says 130 for both: Python ends itself by the signal where it came inside an exec(), as of a dataclass
    assert running.returncode in (130, -signal.SIGINT), (out, err)
    assert err.endswith("strainwright: stopped; nothing half-written was left.\n")
    assert "Traceback" not in err
    assert job.read_bytes() == before
    assert sorted(p.name for p in tmp_path.iterdir()) == ["farm.job.gpkg", "large.geojson", "small.geojson"]


@pytest.mark.skipif(os.name == "nt", reason="there are no such terminals there")
@pytest.mark.parametrize(("words", "bar"), [([], True), (["--quiet"], False)])
def test_a_bar_shows_on_a_terminal_unless_it_shall_be_quiet(tmp_path: Path, words: list[str], bar: bool):
    import fcntl
    import pty
    import struct
    import termios

    source = write_lines(tmp_path / "home.geojson", {"Home": [(0, 0), (400, 0)]})
    master, slave = pty.openpty()
    fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("4H", 24, 100, 0, 0))
    shown = subprocess.run([*PROGRAM, "plan", str(source), "--job", str(tmp_path / "farm.job.gpkg"), *words],
                           cwd=CHECKOUT, stdout=subprocess.PIPE, stderr=slave, timeout=60, check=False)
    os.close(slave)
    seen = _all_of(master)
    assert shown.returncode == 0
    assert ("0 %" in seen) == bar
    assert bar or not seen


def test_no_bar_when_piped(tmp_path: Path):
    source = write_lines(tmp_path / "home.geojson", {"Home": [(0, 0), (400, 0)]})
    piped = started("plan", source, "--job", tmp_path / "farm.job.gpkg")
    assert piped.communicate(timeout=60)[1] == ""


def _all_of(terminal: int) -> str:
    parts = []
    while True:
        try:
            part = os.read(terminal, 65536)
        except OSError:  # the other end is closed
            break
        if not part:
            break
        parts.append(part)
    os.close(terminal)
    return b"".join(parts).decode("utf-8", "replace")
