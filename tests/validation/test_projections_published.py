"""Published projection examples, run through the same functions as every job.

Sources:
    [G] IOGP 373-7-2 (Guidance Note 7-2), worked examples; [OS] Ordnance Survey, A guide to coordinate systems in Great
    Britain, annex C; [LINZ] NZTM2000 test points; [PROJ] PROJ's own test files; [GIGS] IOGP GIGS 5101.
Digits as quoted by PROJ's test files and the pages of the issuers.
"""

from __future__ import annotations

import numpy as np
import pytest

from planner.geometry.bearings import parse_angle
from planner.survey.datum import bring, from_lonlat, to_lonlat

PUBLISHED = [
    # The 10 mm of the first row: the printed value comes from an older series, rounded to centimetres.
    ("G OSGB", "EPSG:27700", ("0°30'", "50°30'"), (577274.99, 69740.50), 0.010),
    ("OS Caister", "EPSG:27700", ("1°43'04.5177\"", "52°39'27.2531\""), (651409.903, 313177.270), 0.001),
    ("G Lo29, west and south", "EPSG:2053", ("28°16'57.479\"", "-25°43'55.302\""), (71984.48, 2847342.74), 0.01),
    ("G Texas South Central, US survey feet", "EPSG:32040", ("-96", "28°30'"), (2963503.91, 254759.80), 0.01),
    ("G web maps", "EPSG:3857", ("-100°20'", "24°22'54.433\""), (-11169055.58, 2800000.00), 0.01),
    ("LINZ 1", "EPSG:2193", ("172.739194", "-34.444066"), (1576041.150, 6188574.240), 0.006),
    ("LINZ 2", "EPSG:2193", ("172.723106", "-40.512409"), (1576542.010, 5515331.050), 0.006),
    ("LINZ 3", "EPSG:2193", ("169.172062", "-46.651295"), (1307103.220, 4826464.860), 0.006),
    ("PROJ UTM 32", "EPSG:25832", ("12", "55"), (691875.6321, 6098907.8250), 0.001),
    ("GIGS far outside its zone", "EPSG:28354", ("146", "20"), (1023538.687, 12219308.24), 0.03),
    ("PROJ UTM 31", "EPSG:32631", ("-2", "60"), (221288.770, 6661953.041), 0.001),
]


@pytest.mark.parametrize(("what", "crs", "lonlat", "printed", "within"), PUBLISHED, ids=[row[0] for row in PUBLISHED])
def test_forward(what: str, crs: str, lonlat: tuple[str, str], printed: tuple[float, float], within: float) -> None:
    found = from_lonlat(np.array([[parse_angle(lonlat[0]), parse_angle(lonlat[1])]]), crs)[0]
    assert found == pytest.approx(printed, abs=within)


@pytest.mark.parametrize(("what", "crs", "lonlat", "printed", "within"), PUBLISHED, ids=[row[0] for row in PUBLISHED])
def test_back(what: str, crs: str, lonlat: tuple[str, str], printed: tuple[float, float], within: float) -> None:
    found = to_lonlat(np.array([printed]), crs)[0]
    metre = 0.3048 if "feet" in what else 1.0
    expected = [parse_angle(lonlat[0]), parse_angle(lonlat[1])]
    assert found == pytest.approx(expected, abs=within * metre / 111_000.0 / np.cos(np.radians(expected[1])))


def test_lo_positions_come_out_east_and_north() -> None:
    """A step to the west and one to the south in the Lo grid are so in the grid that they are brought into."""
    lo = np.array([[71984.48, 2847342.74], [72084.48, 2847342.74], [71984.48, 2847442.74]])
    start, west, south = bring(lo, source="EPSG:2053", target="EPSG:32735").xy
    assert west - start == pytest.approx([-100.0, 0.0], abs=2.5)  # convergence of the two grids is about a degree
    assert south - start == pytest.approx([0.0, -100.0], abs=2.5)
    assert np.hypot(*(west - start)) == pytest.approx(100.0, abs=0.05)


def test_axis_order_of_the_definition_does_not_matter() -> None:
    """NZTM2000 and Gauss-Kruger are defined north first; here east comes first everywhere."""
    found = bring(np.array([[172.739194, -34.444066]]), source="EPSG:4167", target="EPSG:2193").xy[0]
    assert found == pytest.approx([1576041.150, 6188574.240], abs=0.006)
