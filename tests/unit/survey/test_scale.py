from __future__ import annotations

import numpy as np
import pytest

from planner.errors import GridTrouble
from planner.survey.scale import combined_scale, ellipsoidal_area, grid_convergence, line_scale, point_scale

MIDDLE = np.array([[500000.0, 6000000.0]])


def test_scale_on_the_central_meridian_is_the_definition() -> None:
    assert point_scale(MIDDLE, "EPSG:7855")[0] == pytest.approx(0.9996, abs=1e-9)
    assert grid_convergence(MIDDLE, "EPSG:7855")[0] == pytest.approx(0.0, abs=1e-9)


def test_scale_follows_the_series_of_the_transverse_mercator() -> None:
    """k = k0 (1 + E'^2 / 2 rho nu k0^2 + ...), on GRS80 at latitude -36: a check that shares no code."""
    a, e2 = 6378137.0, 0.006694380022900787
    s = np.sin(np.radians(-36.0))
    nu = a / np.sqrt(1 - e2 * s * s)
    rho = a * (1 - e2) / (1 - e2 * s * s) ** 1.5
    off = np.array([0.0, 50e3, 100e3, 200e3])
    r2 = nu * rho * 0.9996**2
    expected = 0.9996 * (1 + off**2 / (2 * r2) + off**4 / (24 * r2**2))
    xy = np.column_stack((500000.0 + off, np.full(4, 6014000.0)))
    np.testing.assert_allclose(point_scale(xy, "EPSG:7855"), expected, rtol=0, atol=1e-7)


@pytest.mark.parametrize(("east", "k", "ground_less_grid_m"), [(500000.0, 0.9996, 4.79), (824787.9, 1.0009, -8.21)])
def test_ground_length_of_ten_kilometres_of_fence_at_500_m(east: float, k: float, ground_less_grid_m: float) -> None:
    """Ground = grid / k x (1 + h / 6371000), worked by hand at both ends of what a zone holds."""
    at = np.array([[east, 6e6]])
    assert point_scale(at, "EPSG:7855")[0] == pytest.approx(k, abs=1e-8)
    combined = combined_scale(at, np.array([500.0]), "EPSG:7855")[0]
    assert 10000.0 / combined - 10000.0 == pytest.approx(ground_less_grid_m, abs=0.005)


def test_an_unknown_level_is_taken_as_the_mean_of_the_known_ones() -> None:
    xy = np.repeat(MIDDLE, 3, axis=0)
    found = combined_scale(xy, np.array([100.0, np.nan, 300.0]), "EPSG:7855")
    assert found[1] == pytest.approx(0.9996 * 6371000.0 / 6371200.0, abs=1e-9)
    flat = combined_scale(xy, np.full(3, np.nan), "EPSG:7855")
    np.testing.assert_allclose(flat, 0.9996, rtol=0, atol=1e-9)


def test_a_position_without_a_place_has_no_scale() -> None:
    found = point_scale(np.array([[np.nan, 0.0], [1e30, 1e30], [500000.0, 6e6]]), "EPSG:7855")
    assert np.isnan(found).tolist() == [True, True, False]
    assert np.isnan(grid_convergence(np.array([[np.nan, 0.0]]), "EPSG:7855")).all()


def test_no_positions_have_no_scale() -> None:
    assert point_scale(np.zeros((0, 2)), "EPSG:7855").shape == (0,)


def test_a_short_line_has_the_scale_of_its_points() -> None:
    assert line_scale((500000.0, 6e6), (500001.0, 6e6), "EPSG:7855") == pytest.approx(0.9996, abs=1e-9)


def test_area_is_free_of_the_grid() -> None:
    """One ring in two zones has one area on the ellipsoid, though the planes differ by 0.1 per cent."""
    from planner.survey.datum_shift import bring

    corner = np.array([250000.0, 6000000.0])
    ring = corner + np.array([[0.0, 0.0], [1000.0, 0.0], [1000.0, 1000.0], [0.0, 1000.0]])
    here = ellipsoidal_area(ring, "EPSG:7855")
    there = ellipsoidal_area(bring(ring, source="EPSG:7855", target="EPSG:7854").xy, "EPSG:7854")
    assert there == pytest.approx(here, rel=1e-9)


def test_an_unknown_grid_is_refused() -> None:
    with pytest.raises(GridTrouble, match="no coordinate system"):
        point_scale(MIDDLE, "EPSG:99999")
