"""Open terrain: real rasters, where a swapped axis, half a cell lost or a leaking nodata would show.

Sources: Brompton 10 m terrain and its drainage lines (CRAN package dynatopmodel 1.2.1, GPL-2; channel cells burned in):
94.3 % of the samples along streams of 20-40 m steps lie lower than the ground 60 m to either side. Minnesota laser
terrain, 1 m (PyPI package lidar 0.8.4, MIT): levels 379.66 to 410.76 m. New Mexico rangeland, 10 m, whole metres, no
coordinate system (landlab, MIT): 1660 to 1711 m.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from planner.errors import GridTrouble
from planner.files.readers.terrain import open_terrain
from planner.geometry.lines import chainages, points_along
from planner.profile.checks import check_profile
from planner.profile.ground_line import ground_line, record_levels
from planner.settings import Settings

pytestmark = pytest.mark.open_data
BRITISH = "EPSG:27700"


def _stream_samples(open_data: Path) -> tuple[np.ndarray, np.ndarray]:
    import geopandas

    at, across = [], []
    for line in geopandas.read_file(open_data / "stream" / "brompton_drainage_epsg27700.gpkg").geometry.explode():
        xy = np.asarray(line.coords)[:, :2]
        length = chainages(xy)[-1]
        spots = np.linspace(0.0, length, max(2, int(length / 30.0)) + 1)[1:-1]
        ahead, behind = points_along(xy, spots + 5.0), points_along(xy, spots - 5.0)
        direction = ahead - behind
        direction /= np.maximum(np.hypot(*direction.T), 1e-9)[:, None]
        at.append(points_along(xy, spots))
        across.append(np.column_stack((-direction[:, 1], direction[:, 0])))
    return np.vstack(at), np.vstack(across)


def test_streams_lie_lower_than_the_ground_beside_them(open_data: Path) -> None:
    at, across = _stream_samples(open_data)

    def share(slip: tuple[float, float]) -> float:
        left, right = (terrain.levels(at + side * 60.0 * across + slip).level_m for side in (1, -1))
        bed = terrain.levels(at + slip).level_m
        known = np.isfinite(left + right + bed)
        assert known.sum() > 700
        return float(((bed < left) & (bed < right))[known].mean())

    with open_terrain(open_data / "dem" / "brompton_10m_epsg27700.tif", grid=BRITISH) as terrain:
        assert share((0.0, 0.0)) == pytest.approx(0.943, abs=0.02)
        assert share((50.0, 50.0)) < 0.8


def test_nodata_never_leaks_from_the_ragged_edge(open_data: Path) -> None:
    rng = np.random.default_rng(8)
    with open_terrain(open_data / "dem" / "brompton_10m_epsg27700.tif", grid=BRITISH) as terrain:
        xy = rng.uniform((436_300.0, 495_600.0), (442_800.0, 502_200.0), (100_000, 2))
        level = terrain.levels(xy).level_m
    known = np.isfinite(level)
    assert 0.6 < known.mean() < 0.7
    assert level[known].min() >= 39.40 - 1e-3
    assert level[known].max() <= 122.96 + 1e-3


def test_levels_are_the_same_from_another_grid(open_data: Path) -> None:
    from planner.survey.datum import bring

    # straight through the middle of the farmland, asked in UTM 30
    british = np.column_stack((np.linspace(438_500.0, 440_500.0, 200), np.full(200, 499_000.0)))
    path = open_data / "dem" / "brompton_10m_epsg27700.tif"
    with open_terrain(path, grid=BRITISH) as terrain:
        own = terrain.levels(british).level_m
    utm = bring(british, source=BRITISH, target="EPSG:32630").xy
    with open_terrain(path, grid="EPSG:32630") as terrain:
        other = terrain.levels(utm).level_m
        assert terrain.cell_m == pytest.approx(10.0, abs=0.02)
        assert any("good to about 2 m" in note for note in terrain.notes)
    known = np.isfinite(own)
    assert known.sum() > 100
    assert other[known] == pytest.approx(own[known], abs=1e-3)


def test_laser_terrain_gives_a_fine_profile(open_data: Path) -> None:
    line = np.array([[429_260.0, 5_150_500.0], [429_450.0, 5_150_700.0], [429_645.0, 5_150_880.0]])
    with open_terrain(open_data / "dem" / "lidarpkg_minnesota_1m_epsg26915.tif", grid="EPSG:26915") as terrain:
        record = record_levels(line, [terrain], step_m=1.0)
        assert terrain.quantum_m == 0.0
    ground = ground_line(line, record, grid="EPSG:26915", step_m=1.0)
    assert np.diff(record.at_m).max() <= 0.5
    assert 379.66 <= ground.level_m.min() < ground.level_m.max() <= 410.76
    assert 1.002 < ground.slope_m[-1] / ground.chainage_m[-1] < 1.06
    assert check_profile("edge", ground, record) == []


def test_a_raster_without_a_coordinate_system_is_asked_for_one_and_its_steps_are_smoothed(open_data: Path) -> None:
    path = open_data / "dem" / "newmexico_rangeland_10m_nocrs.asc"
    with pytest.raises(GridTrouble, match="does not say its coordinate system"):
        open_terrain(path, grid="EPSG:26913")
    line = np.array([[317_300.0, 3_808_500.0], [317_940.0, 3_808_990.0]])
    with open_terrain(path, grid="EPSG:26913", crs="EPSG:26913") as terrain:
        raw = terrain.levels(points_along(line, np.arange(0.0, 806.0, 1.0))).level_m
        record = record_levels(line, [terrain], step_m=1.0)
    assert record.quality.quantum_m == 1.0
    assert record.noise_m == pytest.approx(1 / np.sqrt(12))
    assert 1660 <= record.level_m.min() < record.level_m.max() <= 1711
    assert np.abs(np.diff(record.level_m)).sum() < np.abs(np.diff(raw)).sum()
    found = {f.rule for f in check_profile("edge", ground_line(line, record, grid="EPSG:26913", step_m=1.0), record)}
    assert {"profile-03", "profile-05"} <= found


def test_a_walk_s_heights_are_smoothed_as_far_as_they_are_rounded(open_data: Path) -> None:
    """The walk round the lake: 173 fixes, 1913.0 m in plan, 68.7 m of ascent as they came, about half of it real."""
    import gpxpy

    from planner.survey.datum import from_lonlat
    from planner.survey.ground import TrackGround

    with (open_data / "gpx" / "cerknicko-jezero.gpx").open(encoding="utf-8") as file:
        fixes = [p for t in gpxpy.parse(file).tracks for s in t.segments for p in s.points if len(s.points) == 173]
    xy = from_lonlat(np.array([(p.longitude, p.latitude) for p in fixes]), "EPSG:32633")
    level = np.array([np.nan if p.elevation is None else p.elevation for p in fixes])
    track = TrackGround(xy, level, "walk")
    assert chainages(xy)[-1] == pytest.approx(1913.0, abs=0.2)
    assert track.raw_m == pytest.approx(1925.8, abs=1.0)
    smoothed = track.levels(xy).level_m
    assert np.maximum(np.diff(smoothed), 0.0).sum() == pytest.approx(35.4, abs=6.0)
    assert 1913.0 < track.smooth_m < 1917.0


@pytest.mark.parametrize("name", ["Mojstrovka", "cerknicko-jezero", "korita-zbevnica"])
def test_a_fitted_walk_is_as_long_up_and_down_as_the_walk_itself(open_data: Path, name: str) -> None:
    """Mountain and lake walks with hairpins and ways back: no cliff that was not walked.

    The slope length of the fitted line is that of the smoothed walk less what the fit cut off in plan, within 3 %.
    Walks under 100 m are left out: three of a few fixes each, one of which climbs at 51 degrees as it was recorded.
    """
    from planner.files.survey_in import Wanted, new_job, survey_into

    source = open_data / "gpx" / f"{name}.gpx"
    done = survey_into(new_job("walks", Settings()), [source], [], Wanted(fence="cattle-plain-5"))
    checked = 0
    for line in done.job.lines:
        levels, fit = done.job.levels[line.name], done.fits[line.name]
        walked = levels.quality.walked_smooth_m
        if walked is None or fit.raw_length_m < 100.0:
            continue
        step, rise = np.diff(levels.at_m), np.diff(levels.level_m)
        assert np.degrees(np.arctan(np.abs(rise / step))).max() < 60.0
        expected = walked - (fit.raw_length_m - fit.fitted_length_m)
        assert np.hypot(step, rise).sum() == pytest.approx(expected, rel=0.03)
        checked += 1
    assert checked >= 1
