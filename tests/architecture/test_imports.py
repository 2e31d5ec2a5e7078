"""The house's import rules hold."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def test_import_contracts_hold() -> None:
    done = subprocess.run([str(Path(sys.executable).with_name("lint-imports")), "--no-cache"], cwd=ROOT, text=True,
                          capture_output=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def imported_by(statement: str) -> set[str]:
    done = subprocess.run([sys.executable, "-X", "importtime", "-c", statement], cwd=ROOT, text=True,
                          capture_output=True, check=True)
    return {line.rpartition("|")[2].strip() for line in done.stderr.splitlines() if line.startswith("import time:")}


def test_fence_types_are_told_without_heavy_libraries() -> None:
    found = imported_by("from planner.cli import run; run(['fences'])")
    assert "planner.spec.catalogue" in found
    assert not found & {"numpy", "scipy", "pandas", "geopandas", "shapely", "pyproj", "rasterio", "fiona", "PySide6"}


def test_planning_brings_in_neither_tables_nor_optimiser_nor_window() -> None:
    found = imported_by("import planner.job.derive, planner.files.job_file, planner.jobpack.register")
    assert "planner.job.derive" in found
    assert not found & {"pandas", "geopandas", "scipy.optimize", "rasterio", "PySide6"}
