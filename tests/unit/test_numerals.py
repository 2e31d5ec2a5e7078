"""Numbers as people write them."""

from __future__ import annotations

from decimal import Decimal

import pytest

from planner.numerals import decimal_of


@pytest.mark.parametrize(("text", "number"), [
    ("12.50", "12.50"), ("12,50", "12.50"), (" 1 234,5 ", "1234.5"), ("1.234,50", "1234.50"), ("1,234.50", "1234.50"),
    ("1,234,567", "1234567"), ("1.234.567", "1234567"), ("1.234", "1.234"), ("0,125", "0.125"), (",5", "0.5"),
    ("-3,5", "-3.5"), ("1234,500", "1234.500"), ("1e3", "1000")])
def test_a_decimal_point_or_a_decimal_comma(text, number):
    assert decimal_of(text) == Decimal(number)


@pytest.mark.parametrize("text", ["", ",", ".", "1,234", "12,345", "1,23,456", "1,5,5", "1.5.5", "1.2,3", "nan",
                                  "inf", "1_000", "١٢", "12 m", "1e9999", "--1"])
def test_what_is_no_number_or_could_be_two(text):
    assert decimal_of(text) is None
