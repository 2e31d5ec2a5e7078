"""Everything that the program needs to run is in the list of licences, and locked; the shipped font has its licence."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.make_licences import licence_of, plain, runtime

ROOT = Path(__file__).resolve().parents[2]
LISTED = {plain(name) for name in re.findall(r"^\| ([\w.-]+) \|", (ROOT / "resources" / "LICENCES.md").read_text(
    encoding="utf-8"), flags=re.MULTILINE)}
LOCKED = {line.partition("==")[0] for line in (ROOT / ".ci" / "locked.txt").read_text(encoding="utf-8").splitlines()
          if "==" in line}


@pytest.mark.parametrize("package", runtime(), ids=lambda package: package.metadata["Name"])
def test_what_runs_with_the_program_is_listed_with_its_licence_and_locked(package):
    assert plain(package.metadata["Name"]) in LISTED
    assert plain(package.metadata["Name"]) in LOCKED
    assert "not said" not in licence_of(package)


def test_qt_and_shapely_are_among_them():
    assert {"pyside6-essentials", "shapely", "gpxpy"} <= {plain(package.metadata["Name"]) for package in runtime()}


def test_the_shipped_font_comes_with_its_licence():
    assert "SIL OPEN FONT LICENSE" in (ROOT / "resources" / "fonts" / "SourceSansPro-OFL.txt").read_text(
        encoding="utf-8").upper()
