"""Locks of jobs: who has one open, and when a lock is stale."""

from __future__ import annotations

import json
import os
import platform
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from job_samples import empty_job, full_job

from planner.errors import FileTrouble, JobTrouble
from planner.files.atomic_save import backup_of
from planner.files.job_file import read_job, state_of, write_job
from planner.files.lock import (
    LEASE_S,
    held,
    holder_of,
    lock_of,
    refuse_when_held,
    release,
    renew,
    take,
)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    target = tmp_path / "farm.job.gpkg"
    write_job(target, full_job())
    return target


@pytest.fixture
def other() -> Iterator[subprocess.Popen[bytes]]:
    with subprocess.Popen([sys.executable, "-c", "input()"], stdin=subprocess.PIPE) as process:
        yield process
        process.kill()


def locked_by(path: Path, process: int, *, host: str = "", begun: str = "") -> None:
    lock_of(path).write_text(json.dumps({"owner": "ann", "host": host or platform.node(), "process": process,
                                         "since": "2026-01-05T10:00:00+00:00", "begun": begun}))


def test_a_lock_says_who_where_and_since_when(path: Path) -> None:
    with held(path):
        holder = holder_of(path)
        assert holder is not None
        assert holder.is_this_process
        assert (holder.process, holder.host) == (os.getpid(), platform.node())
        assert holder.since.endswith("+00:00")
    assert not lock_of(path).exists()


def test_a_process_may_write_what_it_holds_and_holds_it_once(path: Path) -> None:
    with held(path):
        assert not take(path)
        write_job(path, empty_job())
        with held(path):
            pass
        assert lock_of(path).exists()


def test_a_living_process_keeps_others_out(path: Path, other) -> None:
    locked_by(path, other.pid)
    before = path.read_bytes()
    with pytest.raises(JobTrouble, match=r"open elsewhere \(ann on .*, since 0[456] January 2026, "):
        take(path)
    with pytest.raises(JobTrouble, match="open elsewhere"):
        write_job(path, empty_job())
    assert path.read_bytes() == before
    assert holder_of(path) is not None
    release(path)
    assert lock_of(path).exists()


def test_the_lock_of_a_process_that_is_gone_is_taken_over(path: Path, other) -> None:
    locked_by(path, other.pid)
    other.kill()
    other.wait()
    assert holder_of(path) is None
    assert take(path)
    release(path)


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="this system does not say when a process began")
def test_another_process_of_the_same_number_holds_nothing(path: Path, other) -> None:
    locked_by(path, other.pid, begun="1")
    assert holder_of(path) is None


@pytest.mark.parametrize(("age_s", "is_live"), [(0, True), (LEASE_S - 60, True), (LEASE_S + 60, False)])
def test_another_machine_holds_it_while_it_renews(path: Path, age_s: float, is_live: bool) -> None:
    locked_by(path, 1, host="another-machine")
    at = lock_of(path).stat().st_mtime - age_s
    os.utime(lock_of(path), (at, at))
    assert (holder_of(path) is not None) == is_live


def test_renewing_renews_only_ones_own(path: Path) -> None:
    with held(path):
        os.utime(lock_of(path), (1.0, 1.0))
        renew(path)
        assert lock_of(path).stat().st_mtime > 1e9
    locked_by(path, 1, host="another-machine")
    os.utime(lock_of(path), (1.0, 1.0))
    renew(path)
    assert lock_of(path).stat().st_mtime == 1.0


@pytest.mark.parametrize("content", [b"", b"{", b"[]", b"\xff\xfe", b'{"owner": 1}', b"[" * 100_000])
def test_a_lock_that_cannot_be_read_counts_only_while_it_may_be_being_written(path: Path, content: bytes) -> None:
    lock_of(path).write_bytes(content)
    with pytest.raises(JobTrouble, match="open elsewhere"):
        refuse_when_held(path)
    os.utime(lock_of(path), (1.0, 1.0))
    assert take(path)
    release(path)


def test_a_folder_that_is_not_there_is_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(FileTrouble, match="cannot be locked"):
        take(tmp_path / "gone" / "farm.job.gpkg")


def test_saving_over_the_job_that_was_opened_keeps_the_previous_version(path: Path) -> None:
    write_job(path, empty_job(), was=state_of(path))
    assert read_job(path).lines == ()
    assert read_job_bytes(backup_of(path)) == len(full_job().lines)
    write_job(path.with_name("other.job.gpkg"), empty_job())
    write_job(path.with_name("other.job.gpkg"), empty_job())
    assert not backup_of(path.with_name("other.job.gpkg")).exists()


def read_job_bytes(backup: Path) -> int:
    """Number of lines of a backup, opened as a job under another name."""
    again = backup.with_name("again.job.gpkg")
    again.write_bytes(backup.read_bytes())
    return len(read_job(again).lines)


@pytest.mark.parametrize("command", [["plan", "walk.gpx", "--job", "farm.job.gpkg"],
                                     ["prices", "farm.job.gpkg", "--csv", "p.csv"],
                                     ["fit", "walk.gpx", "--job", "farm.job.gpkg"]])
def test_commands_leave_a_held_job_alone(path: Path, other, command: list[str], monkeypatch, capsys) -> None:
    from planner.cli import run
    from planner.command_words import COULD_NOT

    monkeypatch.chdir(path.parent)
    write_job(path, empty_job())
    Path("walk.gpx").write_text('<gpx version="1.1"><trk><trkseg>' + "".join(
        f'<trkpt lat="{-36 - i / 1000}" lon="147"/>' for i in range(20)) + "</trkseg></trk></gpx>")
    Path("p.csv").write_text("item,unit,pack,price,supplier,dated,tax class\nstrainer-2400-200,each,1,25,A,2026-01-05,"
                             "standard\n")
    locked_by(path, other.pid)
    before = path.read_bytes()
    assert run([*command, "--quiet"]) == COULD_NOT
    assert "open elsewhere (ann on" in capsys.readouterr().err
    assert path.read_bytes() == before


def test_a_job_is_given_free_when_its_process_ends_before_it_did_so(tmp_path: Path) -> None:
    """An interrupt may come between the last word of a command and its giving the job free."""
    job = tmp_path / "farm.job.gpkg"
    words = f"from pathlib import Path; from planner.files.lock import take, lock_of; p = Path({str(job)!r}); take(p); "
    subprocess.run([sys.executable, "-c", words + "assert lock_of(p).exists(); raise SystemExit(130)"], check=False)
    assert not lock_of(job).exists()
