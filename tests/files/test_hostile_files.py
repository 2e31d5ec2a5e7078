"""Strangers' files: whatever they hold, no address is asked and no other file is opened, and each is told by name.

All hostile files are read in one process that is watched twice: by an audit hook, which sees what Python opens, and
by strace, which sees what the libraries under it open. strace is not part of Python; where it is not installed, what
it alone can see is skipped, with the reason.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import socket
import subprocess
import sys
import tempfile
import threading
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from hostile_files import CASES, Case, World, make_outside, vrt, write_case

ROOT = Path(__file__).resolve().parents[2]
CONTROL = "uncontrolled virtual raster"
SYSTEM = ("/usr/", "/lib/", "/lib64/", "/bin/", "/etc/", "/proc/", "/sys/", "/dev/", "/run/", "/opt/", "/System/",
          "/Library/")
_OPENED = re.compile(r'open(?:at)?\((?:[^,"]+, )?"((?:[^"\\]|\\.)*)"')


@dataclass
class Came:
    """What came of one case."""

    path: Path
    words: str = ""
    refused: bool = False
    broken: str = ""
    seen: list[list[str]] = field(default_factory=list)
    opened: list[str] = field(default_factory=list)
    called: list[str] = field(default_factory=list)


@dataclass
class Run:
    """What came of all cases."""

    cases: dict[str, Came]
    outside: Path
    home: Path
    callers: list[str]
    traced: bool


def _listen(callers: list[str]) -> tuple[socket.socket, str]:
    server = socket.create_server(("127.0.0.1", 0))

    def accept() -> None:
        while True:
            try:
                with server.accept()[0] as caller:
                    caller.settimeout(0.2)
                    callers.append(caller.recv(200).decode("latin-1"))
            except TimeoutError:
                callers.append("")
            except OSError:
                return

    threading.Thread(target=accept, daemon=True).start()
    return server, f"http://127.0.0.1:{server.getsockname()[1]}"


@pytest.fixture(scope="module")
def run(tmp_path_factory: pytest.TempPathFactory) -> Run:
    base = tmp_path_factory.mktemp("hostile")
    outside, home, callers = base / "outside", base / "home", []
    make_outside(outside)
    home.mkdir()
    server, address = _listen(callers)
    tasks, cases = [], {}
    for number, (name, case) in enumerate({**CASES, CONTROL: Case("uncontrolled", vrt("v.vrt"))}.items()):
        world = World(base / f"case-{number}", outside, address)
        world.folder.mkdir()
        path = write_case(case, world)
        cases[name] = Came(path)
        variables = {key: value.replace("@OUT@", str(outside)) for key, value in case.variables}
        tasks.append([name, case.reader, str(path), variables])
    (base / "tasks.json").write_text(json.dumps(tasks), encoding="utf-8")
    traced = _runs_traced(base, home)
    server.close()
    for line in (base / "told.jsonl").read_text(encoding="utf-8").splitlines():
        told = json.loads(line)
        came = cases[told["name"]]
        came.words, came.refused, came.broken, came.seen = (told[k] for k in ("words", "refused", "broken", "seen"))
    if traced:
        _sort_trace((base / "trace").read_text(encoding="utf-8", errors="replace"), list(cases.values()))
    return Run(cases, outside, home, callers, traced)


def _runs_traced(base: Path, home: Path) -> bool:
    words = [sys.executable, str(ROOT / "tests" / "watched_reading.py"), str(base / "tasks.json"),
             str(base / "told.jsonl")]
    strace = shutil.which("strace")
    if strace:
        probe = subprocess.run([strace, "-o", os.devnull, "true"], capture_output=True, check=False)
        if probe.returncode == 0:
            words = [strace, "-f", "-qq", "-s", "400", "-e", "trace=open,openat,connect,execve", "-o",
                     str(base / "trace"), *words]
        else:
            strace = None
    environment = {**os.environ, "HOME": str(home), "PYTHONPATH": os.pathsep.join([str(ROOT), str(ROOT / "tests")]),
                   "PYTHONDONTWRITEBYTECODE": "1"}
    done = subprocess.run(words, capture_output=True, text=True, check=False, cwd=home, env=environment, timeout=300)
    assert done.returncode == 0, done.stderr[-2000:]
    return bool(strace)


def _sort_trace(log: str, cases: list[Came]) -> None:
    now: Came | None = None
    for line in log.splitlines():
        found = _OPENED.search(line)
        if found and found[1].startswith("/reading-case-"):
            number = found[1].removeprefix("/reading-case-")
            now = cases[int(number)] if number.isdigit() else None
        elif now is not None and found:
            now.opened.append(found[1].encode("latin-1", "replace").decode("unicode_escape", "replace"))
        elif now is not None and (" connect(" in line or " execve(" in line):
            now.called.append(line)


def _elsewhere(opened: list[str], came: Came, run: Run) -> list[str]:
    """Opened paths that are neither the file's own nor the program's nor the system's."""
    temporary = str(Path(tempfile.gettempdir()) / "strainwright-")
    kept = {str(came.path), *(str(p) for p in _companions(came.path))}
    wrong = []
    for name in opened:
        path = os.path.normpath(os.path.join(run.home, name))
        ours = path in kept or path == str(came.path.parent) or path.startswith((
            *SYSTEM, sys.prefix, sys.base_prefix, "/var/tmp/etilqs_", str(ROOT / "planner"), str(ROOT / "resources"),
            temporary, str(run.home / ".")))
        ours = ours or (Path(path).parent == came.path.parent and Path(path).name.lower().startswith(
            came.path.stem.partition(".")[0].lower()))
        if not ours and path not in (str(ROOT), str(ROOT / "tests"), str(run.home)):
            wrong.append(path)
    return wrong


def _companions(path: Path) -> list[Path]:
    return [other for other in path.parent.iterdir() if other.name.partition(".")[0] == path.name.partition(".")[0]]


@pytest.mark.parametrize("name", CASES)
def test_each_is_refused_or_read_without_harm_and_told_by_name(run: Run, name: str) -> None:
    case, came = CASES[name], run.cases[name]
    assert not came.broken
    assert came.refused == case.refused, came.words
    assert re.search(case.told, came.words), came.words
    if came.refused:
        assert "\n" not in came.words
        assert came.words.startswith(str(came.path))


@pytest.mark.parametrize("name", CASES)
def test_python_opens_nothing_else(run: Run, name: str) -> None:
    came = run.cases[name]
    assert not _elsewhere([what for event, what in came.seen if event == "open" and not what.isdigit()], came, run)
    assert not [what for what in came.seen if what[0] not in ("open", "ctypes.dlopen")]


@pytest.mark.parametrize("name", CASES)
def test_no_library_opens_anything_else(run: Run, name: str) -> None:
    if not run.traced:
        pytest.skip("strace is not installed, or may not run here")
    came = run.cases[name]
    assert came.opened
    assert not _elsewhere(came.opened, came, run)
    assert not came.called


def test_no_address_was_asked(run: Run) -> None:
    assert not run.callers


def test_the_watching_sees_what_a_careless_reader_opens(run: Run) -> None:
    if not run.traced:
        pytest.skip("strace is not installed, or may not run here")
    came = run.cases[CONTROL]
    assert str(run.outside / "secret.tif") in _elsewhere(came.opened, came, run)
