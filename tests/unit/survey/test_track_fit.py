"""Track fitting on simulated walks of known corners, and on real tracks."""

from __future__ import annotations

import math
from pathlib import Path

import gpxpy
import numpy as np
import pytest
from walks import FIVE_CORNERS, walk

from planner.errors import OutOfRange
from planner.survey.track_fit import TrackFit, fit_track

TRUE_LENGTH = 1202.4


def off(fit: TrackFit) -> np.ndarray:
    return np.hypot(*(fit.corners - FIVE_CORNERS).T)


@pytest.fixture(scope="module")
def troubled_walks() -> list[TrackFit]:
    walks = [walk(seed=seed, troubled=True) for seed in range(16)]
    return [fit_track(xy, time_s=np.arange(len(xy), dtype=float)) for xy in walks]


def test_a_troubled_walk_with_3_m_of_lasting_noise_gives_its_five_corners(troubled_walks: list[TrackFit]) -> None:
    # The noise lasts 33 s, 40 m of walking: a leg of 330 m holds some four independent strays, so that a corner cannot
    # be better known than 2 to 3 m in each coordinate (4 to 6 m at the short last leg). Within 3 of the fit's own
    # standard deviations is what can be asked of each; 95 % must be.
    right = [fit for fit in troubled_walks if len(fit.corners) == 5]
    assert len(right) >= 15
    within = np.array([off(fit) <= 3 * fit.corner_sd_m for fit in right])
    assert within.mean() >= 0.95
    assert np.median([off(fit) for fit in right]) < 4.0
    assert np.median([fit.corner_sd_m for fit in right]) < 3.5


def test_its_length_is_right_where_the_raw_length_is_a_tenth_too_long(troubled_walks: list[TrackFit]) -> None:
    lengths = np.array([fit.fitted_length_m for fit in troubled_walks])
    sd = np.array([fit.fitted_length_sd_m for fit in troubled_walks])
    assert np.median(np.abs(lengths - TRUE_LENGTH)) < 6.0
    assert (np.abs(lengths - TRUE_LENGTH) <= 12.0).mean() >= 0.85
    assert (np.abs(lengths - TRUE_LENGTH) <= 3 * sd).mean() >= 0.9
    assert all(fit.raw_length_m > 1.1 * TRUE_LENGTH for fit in troubled_walks)
    assert all(not fit.closed for fit in troubled_walks)


def test_stop_spike_and_walked_back_loop_are_taken_out_and_said(troubled_walks: list[TrackFit]) -> None:
    for fit in troubled_walks:
        count = dict.fromkeys(("stop", "spike", "loop", "repeated"), 0)
        for trouble in fit.removed:
            count[trouble.reason] += trouble.count
        assert 340 <= count["stop"] <= 430
        assert count["spike"] == 1
        assert 30 <= count["loop"] <= 110
        assert len(fit.kept) + sum(count.values()) == len(walk(seed=0)) + 360 + 80
        assert all(r.text for r in fit.removed)


def test_noise_is_found_in_the_data(troubled_walks: list[TrackFit]) -> None:
    assert np.median([fit.noise_m for fit in troubled_walks]) == pytest.approx(3.0, abs=0.5)


@pytest.mark.parametrize("seed", range(6))
def test_with_1_m_of_noise_each_corner_is_within_4_m_and_the_length_within_6(seed: int) -> None:
    fit = fit_track(walk(seed=seed, sd=1.0, troubled=True))
    assert len(fit.corners) == 5
    assert off(fit).max() < 4.0
    assert abs(fit.fitted_length_m - TRUE_LENGTH) < 6.0


def test_a_walk_with_survey_gear_keeps_its_corners_to_a_hand() -> None:
    fit = fit_track(walk(seed=1, sd=0.02, rho=0.5))
    assert len(fit.corners) == 5
    assert off(fit).max() < 0.3
    assert fit.fitted_length_m <= fit.raw_length_m


def test_white_noise_and_sparse_points_are_fitted_too() -> None:
    for sd, rho, pace in ((3.0, 0.0, 1.2), (3.0, 0.8, 5.0)):
        fit = fit_track(walk(seed=4, sd=sd, rho=rho, pace=pace))
        assert len(fit.corners) == 5
        assert (off(fit) <= 3 * fit.corner_sd_m).all()


@pytest.mark.parametrize("start", [0, 1])
def test_a_closed_walk_is_closed_wherever_it_began(start: int) -> None:
    ring = np.vstack((FIVE_CORNERS, FIVE_CORNERS[:1]))
    if start:
        ring = np.vstack(([200.0, 200 / 12], ring[1:], [200.0, 200 / 12]))
    fit = fit_track(walk(ring, seed=2, sd=1.0))
    assert fit.closed
    assert fit.corners[0].tolist() == fit.corners[-1].tolist()
    assert fit.corner_sd_m[0] == fit.corner_sd_m[-1]
    assert len(fit.corners) == 6
    nearest = np.hypot(fit.corners[:-1, None, 0] - FIVE_CORNERS[:, 0], fit.corners[:-1, None, 1] - FIVE_CORNERS[:, 1])
    assert nearest.min(axis=1).max() < 4.0
    assert sorted(nearest.argmin(axis=1)) == [0, 1, 2, 3, 4]


def test_a_closed_track_can_be_asked_to_stay_open() -> None:
    ring = np.vstack((FIVE_CORNERS, FIVE_CORNERS[:1]))
    assert not fit_track(walk(ring, seed=2, sd=1.0), closed=False).closed


def test_a_tolerance_sets_how_many_corners() -> None:
    bend = np.column_stack((np.arange(0, 400.0, 2), 20 * np.sin(np.arange(0, 400.0, 2) / 60)))
    coarse, fine = fit_track(bend, tolerance_m=8.0), fit_track(bend, tolerance_m=0.5)
    assert len(coarse.corners) < len(fine.corners)


def test_corners_given_as_points_are_kept_as_they_are() -> None:
    fit = fit_track(FIVE_CORNERS)
    assert fit.corners == pytest.approx(FIVE_CORNERS, abs=1e-6)
    assert fit.fitted_length_m == pytest.approx(fit.raw_length_m)


def test_two_points_are_one_straight() -> None:
    fit = fit_track(np.array([[0.0, 0.0], [30.0, 40.0]]))
    assert (len(fit.corners), fit.fitted_length_m, fit.removed) == (2, pytest.approx(50.0), ())


@pytest.mark.parametrize(("xy", "tolerance", "says"), [
    ([[0.0, 0.0]], None, "two different positions"),
    ([[1.0, 1.0], [1.0, 1.0]], None, "two different positions"),
    ([[0.0, 0.0], [1.0, np.nan]], None, "point 2: a position of the track is not a finite number"),
    ([[0.0, 0.0], [1.0, 0.0]], 0.0, "tolerance of 0"),
])
def test_what_cannot_be_fitted_is_said(xy: list[list[float]], tolerance: float | None, says: str) -> None:
    with pytest.raises(OutOfRange, match=says):
        fit_track(np.array(xy), tolerance_m=tolerance)


@pytest.mark.open_data
def test_real_tracks_are_fitted_and_never_made_longer(open_data: Path) -> None:
    fitted = 0
    for file in sorted((open_data / "gpx").glob("*.gpx")):
        for track in gpxpy.parse(file.read_text(encoding="utf-8")).tracks:
            for segment in track.segments:
                lonlat = np.array([(p.longitude, p.latitude) for p in segment.points])
                if len(lonlat) < 2:
                    continue
                # a sphere's local plane is near enough: nothing here depends on a tenth of a per cent
                scale = 111_200 * np.array([math.cos(math.radians(float(lonlat[:, 1].mean()))), 1.0])
                times = [p.time.timestamp() if p.time else math.nan for p in segment.points]
                fit = fit_track((lonlat - lonlat[0]) * scale, time_s=np.array(times))
                assert fit.fitted_length_m <= fit.raw_length_m * (1 + 1e-9), file.name
                assert np.isfinite(fit.corners).all()
                assert np.isfinite(fit.corner_sd_m).all()
                fitted += 1
    assert fitted >= 10


def test_the_ends_of_a_noisy_walk_are_not_nearer_for_its_noise() -> None:
    """Fixes every half metre with noise of 3 m add up to some eight times the way; 90 m apart stay apart."""
    corners = np.array([(0.0, 0.0), (600.0, 0.0), (600.0, 500.0), (0.0, 500.0), (0.0, 90.0)])
    xy = walk(corners, seed=3, sd=3.0, rho=0.0, pace=0.5)
    assert 0.03 * float(np.hypot(*np.diff(xy, axis=0).T).sum()) > 90.0
    assert not fit_track(xy).closed
