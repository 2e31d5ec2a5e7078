"""Starting: what is loaded before the first paint, and what is said where no window can be had."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from planner.errors import PlannerError
from planner.ui import app

FIRST_PAINT = """
import sys
from pathlib import Path
from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QApplication
from planner.ui.app import name_application
from planner.ui.main_window import MainWindow
from planner.ui.preferences import Preferences
application = QApplication([])
name_application(application)
folder = Path(sys.argv[1])
window = MainWindow(Preferences(QSettings(str(folder / "likes.ini"), QSettings.Format.IniFormat)), folder)
window.show()
application.processEvents()
window.grab()
print(" ".join(sorted(sys.modules)))
window.close()
"""


def python(*words: str, **environment: str) -> subprocess.CompletedProcess[str]:
    kept = {key: value for key, value in os.environ.items()
            if key not in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")}
    return subprocess.run([sys.executable, *words], env={**kept, **environment}, text=True, capture_output=True,
                          check=False, cwd=Path(__file__).resolve().parents[2])


def test_the_first_paint_waits_for_no_heavy_library(tmp_path: Path) -> None:
    done = python("-c", FIRST_PAINT, str(tmp_path), QT_QPA_PLATFORM="offscreen")
    assert done.returncode == 0, done.stderr
    loaded = set(done.stdout.split())
    assert "planner.ui.main_window" in loaded
    assert not loaded & {"pandas", "geopandas", "scipy", "scipy.optimize", "rasterio", "fiona", "pyogrio", "pyproj",
                         "shapely", "numpy", "planner.job.derive"}


@pytest.mark.parametrize("display", ["", ":4711", "nowhere.invalid:0", "nonsense"])
def test_without_a_display_one_sentence_is_said(display: str) -> None:
    done = python("-m", "planner", DISPLAY=display)
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.startswith("strainwright: ")
    assert done.stderr.count("\n") == 1
    assert "display" in done.stderr


def test_without_the_window_library_one_sentence_is_said() -> None:
    done = python("-c", "import sys; sys.modules['PySide6'] = None\nfrom planner.cli import run\nsys.exit(run([]))",
                  QT_QPA_PLATFORM="offscreen")
    assert done.returncode == 2
    assert "the window cannot be opened" in done.stderr
    assert done.stderr.count("\n") == 1


def test_two_jobs_are_one_too_many() -> None:
    done = python("-m", "planner", "a.job.gpkg", "b.job.gpkg")
    assert done.returncode == 2
    assert "b.job.gpkg" in done.stderr


def test_a_library_that_the_platform_lacks_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(name: str) -> None:
        raise OSError("libxcb-cursor.so.0: cannot open shared object file")

    monkeypatch.setattr("ctypes.CDLL", missing)
    with pytest.raises(PlannerError, match=r"libxcb-cursor.*install that library"):
        app._load_platform()


@pytest.mark.parametrize(("platform", "variables", "folder"), [
    ("linux", {"XDG_STATE_HOME": "/x"}, Path("/x/strainwright")),
    ("linux", {"STRAINWRIGHT_STATE": "/y"}, Path("/y"))])
def test_the_own_folder_follows_the_platform(monkeypatch: pytest.MonkeyPatch, platform: str, variables: dict[str, str],
                                             folder: Path) -> None:
    monkeypatch.delenv("STRAINWRIGHT_STATE", raising=False)
    monkeypatch.setattr("sys.platform", platform)
    for name, value in variables.items():
        monkeypatch.setenv(name, value)
    assert app.own_folder() == folder
