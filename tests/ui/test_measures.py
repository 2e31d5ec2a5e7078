"""How values are shown and read. Foot 0.3048 m, chain 66 ft, pound-force 4.4482216 N: NIST SP 811."""

from __future__ import annotations

from decimal import Decimal

import pytest

from planner.errors import OutOfRange
from planner.ui.measures import Measures, dms, money, parse_bearing

METRIC, IMPERIAL, CHAINS = Measures(), Measures("imperial"), Measures("chains")


@pytest.mark.parametrize(("text", "metres"), [
    ("12.5", 12.5), ("12,5", 12.5), (" 1 200 ", 1200.0), ("40 ft", 12.192), ("12 ft 6 in", 3.81), ("5'6\"", 1.6764),
    ("3 ch 25 lk", 65.3796), ("0.5km", 500.0), ("-4", -4.0), ("250mm", 0.25), (".5", 0.5)])
def test_lengths_are_read(text: str, metres: float) -> None:
    assert METRIC.parse_length(text) == pytest.approx(metres)


@pytest.mark.parametrize("text", ["", "m", "12 furlongs", "12 m and more", "1,234", "nan", "--3"])
def test_what_is_no_length_is_refused(text: str) -> None:
    with pytest.raises(OutOfRange, match=r"is no length|nothing was typed|two ways"):
        METRIC.parse_length(text)


def test_a_bare_number_is_in_the_unit_shown() -> None:
    assert IMPERIAL.parse_length("100") == pytest.approx(30.48)
    assert CHAINS.parse_length("1") == pytest.approx(20.1168)
    assert METRIC.parse_force("8.63") == pytest.approx(8630.0)
    assert IMPERIAL.parse_force("1000") == pytest.approx(4448.2216)
    assert METRIC.parse_force("110 kgf") == pytest.approx(1078.73, abs=0.01)


def test_lengths_and_forces_are_shown() -> None:
    assert METRIC.length(9917.4, 0) == "9\u202f917\xa0m"
    assert METRIC.length(9_999.9, 1) == "9\u202f999.9\xa0m"
    assert METRIC.length(10_000.0, 0) == "10.00\xa0km"
    assert IMPERIAL.length(3.048) == "10\xa0ft"
    assert CHAINS.length(201.168) == "10.000\xa0ch"
    assert METRIC.force(8630.0) == "8.63\xa0kN"
    assert IMPERIAL.force(8630.0) == "1\u202f940\xa0lbf"
    assert METRIC.area(12_345.0) == "1.23\xa0ha"
    assert IMPERIAL.area(40_468.564) == "10.00\xa0ac"
    assert METRIC.small(0.9) == "900\xa0mm"
    assert money(Decimal("133198.4"), "AUD") == "AUD\xa0133\u202f198"


@pytest.mark.parametrize(("text", "degrees"), [
    ("0", 0.0), ("360", 0.0), ("123.5", 123.5), ("123 30 18", 123.505), ("123°30′18″", 123.505), ("N 45 E", 45.0),
    ("S45E", 135.0), ("s 45 30 w", 225.5), ("N 10 W", 350.0)])
def test_bearings_are_read(text: str, degrees: float) -> None:
    assert parse_bearing(text) == pytest.approx(degrees)


@pytest.mark.parametrize("text", ["", "north", "361", "12 60", "12 30 60", "N 91 E", "N 45", "45 E", "-5"])
def test_what_is_no_bearing_is_refused(text: str) -> None:
    with pytest.raises(OutOfRange, match="is no bearing"):
        parse_bearing(text)


@pytest.mark.parametrize(("degrees", "text"), [(59.99999, "60°00′00″"), (-0.5, "−0°30′00″"), (0.0, "0°00′00″")])
def test_minutes_and_seconds_carry_over(degrees: float, text: str) -> None:
    assert dms(degrees) == text


def test_places_in_grid_and_in_degrees() -> None:
    """Flinders Peak in GDA94: MGA94 zone 55 273741.297 E 5796489.777 N is 37 57 03.7203 S, 144 25 29.5244 E.

    ICSM, GDA94 Technical Manual, worked example of grid calculations.
    """
    assert METRIC.place(273_741.297, 5_796_489.777, "EPSG:28355") == ("E 273\u202f741.3", "N 5\u202f796\u202f489.8")
    south, east = Measures("metric", "dms").place(273_741.297, 5_796_489.777, "EPSG:28355")
    assert (south, east) == ("37°57′03.72″ S", "144°25′29.52″ E")
    assert Measures("metric", "degrees").place(273_741.297, 5_796_489.777, "EPSG:28355")[0] == "37.9510334° S"
    assert Measures("metric", "dms").place(1.0, 2.0, "") == ("E 1.0", "N 2.0")
