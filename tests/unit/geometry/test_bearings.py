from __future__ import annotations

import numpy as np
import pytest

from planner.errors import OutOfRange
from planner.geometry.bearings import (
    bearing_of,
    bearings_of,
    could_be_packed,
    format_angle,
    format_bearing,
    from_packed,
    parse_angle,
    parse_bearing,
    parse_direction,
    step_along,
    to_packed,
    whole_circle,
)

EXACT = 92 + 14 / 60 + 20 / 3600


@pytest.mark.parametrize("text", [
    "92°14'20\"", "92 14 20", "92-14-20", "92:14:20", "92°14′20″", "92d14m20s", " 92° 14' 20\" ", "92º14'20''",
    "92°14'20,0\"", "+92 14 20.0"])
def test_ways_of_writing_one_angle(text: str) -> None:
    assert parse_angle(text) == pytest.approx(EXACT, abs=1e-12)


@pytest.mark.parametrize(("text", "degrees"), [
    ("92", 92.0), ("92°", 92.0), ("92.2389", 92.2389), ("92,5", 92.5), ("92°30'", 92.5), ("92-30", 92.5),
    ("92°30.6'", 92.51), ("-37 57 03.7203", -(37 + 57 / 60 + 3.7203 / 3600)), ("−0°30'", -0.5),
    ("0 59 59", 3599 / 3600)])
def test_angles_with_parts_left_out(text: str, degrees: float) -> None:
    assert parse_angle(text) == pytest.approx(degrees, abs=1e-12)


@pytest.mark.parametrize("text", ["", "north", "92°14'20\"5", "92 14 20 10", "°14'", "92..5", "1e2"])
def test_what_is_no_angle_is_refused(text: str) -> None:
    with pytest.raises(OutOfRange, match="this is no angle; write it like"):
        parse_angle(text)


@pytest.mark.parametrize("text", ["92°60'00\"", "92 14 60", "92-75"])
def test_minutes_and_seconds_stay_below_sixty(text: str) -> None:
    with pytest.raises(OutOfRange, match="minutes and seconds stay below 60"):
        parse_angle(text)


def test_a_fraction_before_the_last_part_is_refused() -> None:
    with pytest.raises(OutOfRange, match="only the last part of an angle may have decimals"):
        parse_angle("92.5 14 20")


@pytest.mark.parametrize(("text", "degrees"), [
    ("N45°55'20\"E", 45 + 55 / 60 + 20 / 3600), ("S54-59-15E", 180 - (54 + 59 / 60 + 15 / 3600)),
    ("s 68 05 35 w", 180 + 68 + 5 / 60 + 35 / 3600), ("N19°46'00\"W", 360 - (19 + 46 / 60)),
    ("N", 0.0), ("e", 90.0), ("S", 180.0), ("W", 270.0), ("N90E", 90.0), ("N0W", 0.0), ("S0E", 180.0), ("S90W", 270.0),
    ("0", 0.0), ("359°59'59\"", 360 - 1 / 3600), ("360", 0.0)])
def test_bearings(text: str, degrees: float) -> None:
    assert parse_bearing(text) == pytest.approx(degrees, abs=1e-9)


@pytest.mark.parametrize(("text", "why"), [
    ("361", "a bearing runs from 0 to 360"), ("-1", "a bearing runs from 0 to 360"),
    ("N90°00'01\"E", "a quadrant bearing runs from 0 to 90"), ("NE", "this is no angle"), ("E45N", "this is no angle")])
def test_what_is_no_bearing_is_refused(text: str, why: str) -> None:
    with pytest.raises(OutOfRange, match=why):
        parse_bearing(text)


@pytest.mark.parametrize(("degrees", "decimals", "text"), [
    (EXACT, 0, "92°14'20\""), (EXACT, 1, "92°14'20.0\""), (59.9999999, 0, "60°00'00\""), (-0.5, 0, "-0°30'00\""),
    (0.0, 2, "0°00'00.00\""), (-1e-9, 0, "0°00'00\"")])
def test_format_carries_rounding_over(degrees: float, decimals: int, text: str) -> None:
    assert format_angle(degrees, decimals=decimals) == text


@pytest.mark.parametrize(("degrees", "text"), [
    (359.99999, "0°00'00\""), (-19.0, "341°00'00\""), (720.0, "0°00'00\""), (359.9997, "359°59'59\"")])
def test_a_bearing_is_never_written_as_360(degrees: float, text: str) -> None:
    assert format_bearing(degrees) == text


@pytest.mark.parametrize(("east", "north", "degrees"), [
    (0.0, 1.0, 0.0), (1.0, 0.0, 90.0), (0.0, -1.0, 180.0), (-1.0, 0.0, 270.0), (-1.0, 1.0, 315.0), (-1e-300, 1.0, 0.0)])
def test_bearing_of_a_step(east: float, north: float, degrees: float) -> None:
    assert bearing_of(east, north) == pytest.approx(degrees, abs=1e-12)


def test_a_step_without_length_has_no_bearing() -> None:
    with pytest.raises(OutOfRange, match="a step without length has no bearing"):
        bearing_of(0.0, 0.0)


def test_bearings_of_a_line_with_a_repeated_corner() -> None:
    found = bearings_of(np.array([[0.0, 0.0], [0.0, 5.0], [0.0, 5.0], [-5.0, 5.0]]))
    np.testing.assert_array_equal(found, [0.0, np.nan, 270.0])
    assert len(bearings_of(np.zeros((0, 2)))) == 0


def test_whole_circle_keeps_below_360() -> None:
    assert whole_circle(-1e-20) == 0.0
    assert whole_circle(360.0) == 0.0
    assert whole_circle(725.5) == 5.5


def test_step_along_is_bearing_and_distance() -> None:
    east, north = step_along(135.0, 10.0)
    assert (east, north) == pytest.approx((50**0.5, -(50**0.5)))


def test_the_points_of_the_compass() -> None:
    words = ["N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"]
    assert [parse_direction(word) for word in words] == [22.5 * k for k in range(16)]
    assert [parse_direction(w) for w in ("north-east", "South West", "w.n.w.")] == [45.0, 225.0, 292.5]
    assert parse_direction("N 45-30 E") == parse_bearing("45.5")


@pytest.mark.parametrize("text", ["NEE", "EN", "north of east", "", "361"])
def test_what_is_no_direction(text: str) -> None:
    with pytest.raises(OutOfRange):
        parse_direction(text)


def test_a_boundary_bearing_without_its_angle_stays_refused() -> None:
    with pytest.raises(OutOfRange):
        parse_bearing("NE")


def test_packed_angles() -> None:
    packed = np.array([-37.57037203, 144.252952440, 0.30, -0.0001, 59.5959999])
    expected = [parse_angle("-37 57 03.7203"), parse_angle("144 25 29.5244"), 0.5, -1 / 3600, 59 + 3599.999 / 3600]
    np.testing.assert_allclose(from_packed(packed), expected, rtol=0, atol=1e-12)
    np.testing.assert_allclose(to_packed(np.array(expected)), packed, rtol=0, atol=1e-12)


def test_packed_rounding_never_leaves_sixty_seconds() -> None:
    assert to_packed(np.array([37.9999999999999]))[0] == 38.0


@pytest.mark.parametrize("value", [37.60, 37.5960, 37.99])
def test_numbers_that_are_not_packed_are_refused(value: float) -> None:
    with pytest.raises(OutOfRange, match=r"below 60; read the numbers as decimal degrees"):
        from_packed(np.array([value]))


def test_could_be_packed() -> None:
    assert could_be_packed(np.array([-37.57037203, 144.2529, np.nan]))
    assert not could_be_packed(np.array([-37.57037203, 144.7529]))
    assert not could_be_packed(np.array([37.0, 144.0]))
    assert not could_be_packed(np.array([]))
