"""Settings that other geographic software leaves in the environment must not break the program."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

FLINDERS_PEAK = """
import numpy as np
from planner.survey.datum import bring
lonlat = np.array([[144 + 25 / 60 + 29.5244 / 3600, -(37 + 57 / 60 + 3.7203 / 3600)]])
east, north = bring(lonlat, source="EPSG:7844", target="EPSG:7855").xy[0]
print(f"{east:.3f} {north:.3f}")
"""


@pytest.mark.parametrize("names", [
    ("PROJ_LIB",), ("PROJ_DATA",), ("PROJ_LIB", "PROJ_DATA", "GDAL_DATA", "GDAL_DRIVER_PATH")])
def test_a_path_to_another_programs_database_is_ignored(names: tuple[str, ...], tmp_path: Path) -> None:
    (tmp_path / "proj.db").write_bytes(b"not the database that is wanted")
    for value in ("/nonexistent", str(tmp_path)):
        done = subprocess.run([sys.executable, "-c", FLINDERS_PEAK], capture_output=True, text=True, timeout=60,
                              env={**os.environ, **dict.fromkeys(names, value)}, cwd=Path(__file__).parents[3])
        assert done.returncode == 0, done.stderr
        east, north = (float(part) for part in done.stdout.split())
        assert (east, north) == pytest.approx((273741.297, 5796489.777), abs=0.001)


def test_the_network_stays_off() -> None:
    script = "import planner, pyproj.network as n; print(n.is_network_enabled())"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, timeout=60, check=True,
                          env={**os.environ, "PROJ_NETWORK": "ON"}, cwd=Path(__file__).parents[3])
    assert done.stdout.strip() == "False"
