from __future__ import annotations

import numpy as np
import pytest

from planner.errors import GridTrouble
from planner.survey.datum_shift import around, bring, carry, from_lonlat, mean_longitude, to_lonlat

GRS80_ZONE_55_WITHOUT_DATUM = "+proj=utm +zone=55 +south +ellps=GRS80 +units=m"
SOME = np.array([[300000.0, 5800000.0], [300100.0, 5800000.0]])


def test_within_one_system_nothing_moves() -> None:
    found = bring(SOME, source="EPSG:28355", target="28355")
    np.testing.assert_array_equal(found.xy, SOME)
    assert (found.operation, found.accuracy_m, found.notes) == ("no change of datum", 0.0, ())
    assert not found.xy.flags.writeable


def test_within_one_datum_nothing_is_lost() -> None:
    found = bring(SOME, source="EPSG:28355", target="EPSG:28354")
    assert (found.operation, found.accuracy_m, found.notes) == ("no change of datum", 0.0, ())


def test_gda94_never_goes_over_wgs84() -> None:
    found = bring(SOME, source="EPSG:28355", target="EPSG:7855")
    assert "WGS" not in found.operation
    assert 1.4 < np.hypot(*(found.xy[0] - SOME[0])) < 1.7


def test_a_position_without_a_place_stops_all_and_is_counted() -> None:
    with pytest.raises(GridTrouble, match="2 of 3 positions have no place in GDA2020 / MGA zone 55; check"):
        bring(np.array([[146.0, -36.0], [np.nan, -36.0], [146.0, np.inf]]), source="EPSG:4283", target="EPSG:7855")


def test_carry_keeps_the_good_ones() -> None:
    found = carry(np.array([[146.0, -36.0], [np.nan, -36.0]]), source="EPSG:4283", target="EPSG:7855").xy
    assert np.isfinite(found).all(axis=1).tolist() == [True, False]


def test_no_positions_at_all() -> None:
    assert bring(np.zeros((0, 2)), source="EPSG:4326", target="EPSG:7855").xy.shape == (0, 2)


def test_a_grid_that_counts_west_and_south_is_no_target() -> None:
    with pytest.raises(GridTrouble, match="Lo29 counts west and south; choose a grid that counts east and north"):
        bring(np.array([[28.0, -25.0]]), source="EPSG:4148", target="EPSG:2053")


def test_an_unstated_datum_is_brought_nowhere() -> None:
    with pytest.raises(GridTrouble, match="does not say its datum, so it cannot be brought into another grid"):
        bring(SOME, source=GRS80_ZONE_55_WITHOUT_DATUM, target="EPSG:7855")


def test_an_unstated_datum_is_guessed_only_when_said_and_says_so() -> None:
    found = bring(SOME, source=GRS80_ZONE_55_WITHOUT_DATUM, target="EPSG:7855", allow_ballpark=True)
    np.testing.assert_allclose(found.xy, SOME, rtol=0, atol=1e-6)
    assert found.accuracy_m is None
    assert "is not stated" in found.notes[0]


def test_an_unstated_datum_stays_in_its_own_grid() -> None:
    found = bring(SOME, source=GRS80_ZONE_55_WITHOUT_DATUM, target=GRS80_ZONE_55_WITHOUT_DATUM)
    np.testing.assert_array_equal(found.xy, SOME)


def test_unknown_systems_are_refused() -> None:
    with pytest.raises(GridTrouble, match="'EPSG:99999' is no coordinate system that is known here"):
        bring(SOME, source="EPSG:99999", target="EPSG:7855")


def test_notes_are_sentences() -> None:
    for source, target, at in [("EPSG:4326", "EPSG:27700", (-1.4, 54.4)), ("EPSG:28355", "EPSG:7855", (3e5, 5.8e6)),
                               ("EPSG:4202", "EPSG:7855", (146.0, -36.0))]:
        for note in bring(np.array([at]), source=source, target=target).notes:
            assert note.endswith(".")
            assert note[0].isupper()


def test_lonlat_is_in_the_grids_own_datum() -> None:
    """A MGA94 position keeps its GDA94 latitude; in GDA2020 it would be 1.5 m off."""
    there = from_lonlat(np.array([[146.0, -36.0]]), "EPSG:28355")
    np.testing.assert_allclose(to_lonlat(there, "EPSG:28355"), [[146.0, -36.0]], rtol=0, atol=1e-10)


def test_across_180_the_zone_goes_on() -> None:
    found = bring(np.array([[179.9985, -16.62], [-179.9990, -16.615]]), source="EPSG:4326", target="EPSG:32701").xy
    assert np.hypot(*(found[1] - found[0])) == pytest.approx(614.3, abs=0.7)  # scale of the zone's edge: +851 ppm


@pytest.mark.parametrize(("longitudes", "mean"), [
    ([179.9, -179.9], -180.0), ([10.0, 20.0], 15.0), ([-179.0, 179.5], -179.75), ([350.0, 10.0], 0.0)])
def test_mean_longitude_on_the_circle(longitudes: list[float], mean: float) -> None:
    assert mean_longitude(np.array(longitudes)) == pytest.approx(mean, abs=1e-9)


def test_area_around_positions_across_180() -> None:
    west, south, east, north = around(np.array([[179.5, -17.0], [-179.0, -16.0], [np.nan, 0.0]])) or (0, 0, 0, 0)
    assert (west, south, east, north) == pytest.approx((179.5, -17.0, -179.0, -16.0))
    assert around(np.array([[np.nan, 0.0]])) is None
