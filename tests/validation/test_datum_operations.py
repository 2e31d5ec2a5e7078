"""Datum operations against published coordinates, and the traps between Australian datums.

Sources:
    GeodePy tests (Geoscience Australia, Apache-2.0): MGA94 to MGA2020 in zone 53.
    PROJ's test files, quoting ICSM GDA2020 Technical Manual: Alice Springs, GDA94 to GDA2020.
    LINZ, NZGD1949 to NZGD2000 datum page: three test points, by grid and by seven parameters.
    ICSM GDA2020 pages: the shift is about 1.5 to 1.8 m; the figures by place were computed with PROJ 9.5.1 from the
    published seven parameters.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from planner.errors import GridTrouble
from planner.geometry.bearings import parse_angle
from planner.survey.datum import bring, from_lonlat, geodesic


def test_mga94_to_mga2020_in_zone_53() -> None:
    found = bring(np.array([[386352.3979, 7381850.7689]]), source="EPSG:28353", target="EPSG:7853")
    np.testing.assert_allclose(found.xy, [[386353.2343, 7381852.2986]], rtol=0, atol=0.0002)
    assert found.operation == "GDA94 to GDA2020 (1)"
    assert found.accuracy_m == pytest.approx(0.01)
    assert any("distortion grid" in note for note in found.notes)


def test_alice_springs_gda94_to_gda2020() -> None:
    found = bring(np.array([[133.88551329, -23.67012389]]), source="EPSG:4283", target="EPSG:7844").xy
    np.testing.assert_allclose(found, [[133.8855216, -23.67011014]], rtol=0, atol=2e-8)  # 2e-8 deg is 2 mm


@pytest.mark.parametrize(("place", "longitude", "latitude", "shift_m"), [
    ("Perth", 115.86, -31.95, 1.797), ("Darwin", 130.84, -12.46, 1.804), ("Alice Springs", 133.88, -23.70, 1.744),
    ("Cairns", 145.77, -16.92, 1.682), ("Adelaide", 138.60, -34.93, 1.641), ("Melbourne", 144.96, -37.81, 1.552),
    ("Brisbane", 153.03, -27.47, 1.514), ("Sydney", 151.21, -33.87, 1.494), ("Hobart", 147.33, -42.88, 1.493),
])
def test_shift_from_gda94_to_gda2020(place: str, longitude: float, latitude: float, shift_m: float) -> None:
    moved = bring(np.array([[longitude, latitude]]), source="EPSG:4283", target="EPSG:7844").xy[0]
    azimuth, _, length = geodesic((longitude, latitude), (moved[0], moved[1]), "EPSG:7844")
    assert length == pytest.approx(shift_m, abs=0.002), place
    assert 14.5 < azimuth < 34.5


def test_the_shift_at_melbourne_points_north_by_east() -> None:
    moved = bring(np.array([[144.96, -37.81]]), source="EPSG:4283", target="EPSG:7844").xy[0]
    azimuth, _, _ = geodesic((144.96, -37.81), (moved[0], moved[1]), "EPSG:7844")
    assert azimuth == pytest.approx(19.7, abs=0.1)


def test_a_tie_point_in_zone_55_moves_half_a_metre_east_and_one_and_a_half_north() -> None:
    found = bring(np.array([[455200.0, 5951800.0]]), source="EPSG:28355", target="EPSG:7855").xy[0]
    assert found - [455200.0, 5951800.0] == pytest.approx([0.51, 1.45], abs=0.005)


@pytest.mark.parametrize(("source", "target"), [("EPSG:4202", "EPSG:7844"), ("EPSG:20255", "EPSG:7855")])
def test_agd66_goes_over_gda94_and_never_by_a_null_shift(source: str, target: str) -> None:
    start = from_lonlat(np.array([[146.0, -36.0]]), source)
    found = bring(start, source=source, target=target)
    here = from_lonlat(np.array([[146.0, -36.0]]), target)  # what forgetting the datum gives
    _, _, shift = geodesic(tuple(here[0]), tuple(found.xy[0]), target)
    assert 195.0 < shift < 215.0
    assert found.operation == "AGD66 to GDA94 (4) + GDA94 to GDA2020 (1)"
    assert found.accuracy_m == pytest.approx(1.01)
    assert any("good to about 1 m" in note for note in found.notes)


def test_gda2020_back_to_agd66_is_the_same_way_back() -> None:
    start = np.array([[146.0, -36.0]])
    there = bring(start, source="EPSG:4202", target="EPSG:7844").xy
    back = bring(there, source="EPSG:7844", target="EPSG:4202").xy
    np.testing.assert_allclose(back, start, rtol=0, atol=1e-8)  # 1 mm


def test_an_operation_known_only_as_ballpark_is_refused() -> None:
    with pytest.raises(GridTrouble, match=r"no operation of known accuracy .* without the grid file us_noaa_"):
        bring(np.array([[-80.0, 35.0]]), source="EPSG:4269", target="EPSG:4152")


def test_an_operation_known_only_as_ballpark_is_taken_when_said_and_says_so() -> None:
    found = bring(np.array([[-80.0, 35.0]]), source="EPSG:4269", target="EPSG:4152", allow_ballpark=True)
    assert found.accuracy_m is None
    assert "accuracy is not known" in found.notes[0]


@pytest.mark.parametrize(("source", "target", "at", "accuracy_m"), [
    ("EPSG:4326", "EPSG:7855", (146.0, -36.0), 3.0),
    ("EPSG:4326", "EPSG:28355", (146.0, -36.0), 3.0),
    ("EPSG:4326", "EPSG:27700", (-1.42, 54.36), 2.0),
    ("EPSG:4272", "EPSG:2193", (175.0, -36.5), 4.0),
])
def test_an_accuracy_above_a_metre_is_said(
        source: str, target: str, at: tuple[float, float], accuracy_m: float) -> None:
    found = bring(np.array([at]), source=source, target=target)
    assert found.accuracy_m == pytest.approx(accuracy_m)
    assert any(f"good to about {accuracy_m:g} m" in note for note in found.notes)


def test_the_missing_grid_file_is_named() -> None:
    found = bring(np.array([[-1.42, 54.36]]), source="EPSG:4326", target="EPSG:27700")
    assert any("uk_os_OSTN15_NTv2_OSGBtoETRS.tif" in note for note in found.notes)


SEVEN_PARAMETERS = [  # LINZ: NZGD1949 position, NZGD2000 position by seven parameters; one of three printed points
    ("-36°30'", "175°00'", "-36°29'53.49360\"", "175°00'00.66696\""),
]


@pytest.mark.parametrize(("lat49", "lon49", "lat2000", "lon2000"), SEVEN_PARAMETERS)
def test_nzgd49_by_seven_parameters(lat49: str, lon49: str, lat2000: str, lon2000: str) -> None:
    found = bring(np.array([[parse_angle(lon49), parse_angle(lat49)]]), source="EPSG:4272", target="EPSG:4167")
    expected = [[parse_angle(lon2000), parse_angle(lat2000)]]
    np.testing.assert_allclose(found.xy, expected, rtol=0, atol=1e-8)  # 1.1 mm
    assert found.operation == "NZGD49 to NZGD2000 (2)"


@pytest.mark.open_data
def test_nzgd49_by_the_grid_file_when_it_is_there(open_data: Path, tmp_path: Path) -> None:
    shutil.copy(open_data / "geodesy" / "nzgd2kgrid0005.gsb", tmp_path / "nz_linz_nzgd2kgrid0005.tif")
    # In a process of its own, because the library's search path is one for all and operations are kept.
    script = (
        "import planner, sys, pyproj, numpy as np; pyproj.datadir.append_data_dir(sys.argv[1])\n"
        "from planner.survey.datum import bring\n"
        "b = bring(np.array([[175.0, -36.5]]), source='EPSG:4272', target='EPSG:4167')\n"
        "print(*(f'{v:.12f}' for v in b.xy[0]), b.accuracy_m, len(b.notes))")
    done = subprocess.run([sys.executable, "-W", "error", "-c", script, str(tmp_path)], capture_output=True, text=True,
                          check=True, timeout=60)
    longitude, latitude, accuracy, notes = done.stdout.split()
    assert float(latitude) == pytest.approx(parse_angle("-36°29'53.48482\""), abs=1e-8)
    assert float(longitude) == pytest.approx(parse_angle("175°00'00.69469\""), abs=1e-8)
    assert (float(accuracy), int(notes)) == (0.2, 0)
