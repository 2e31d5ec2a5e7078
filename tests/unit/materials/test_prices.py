"""Which price is used for which pack."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from planner.materials.prices import Price, PriceList, as_decimal


def list_of(*prices: tuple[str, str, float, str]) -> PriceList:
    return PriceList({(item, pack): Price(item, unit, pack, Decimal(amount), "store", date(2026, 7, 1))
                      for item, unit, pack, amount in prices})


def test_a_pack_has_its_own_price():
    prices = list_of(("post", "each", 10.0, "45.00"), ("post", "each", 1.0, "5.00"))
    assert prices.of("post", unit="each", pack=10.0).price == Decimal("45.00")


def test_else_the_largest_pack_that_goes_into_it_evenly():
    prices = list_of(("post", "each", 4.0, "19.00"), ("post", "each", 5.0, "23.00"), ("post", "each", 1.0, "5.00"))
    assert prices.of("post", unit="each", pack=10.0).pack == 5.0


def test_a_larger_pack_is_no_price_for_a_smaller_one():
    assert list_of(("post", "each", 100.0, "400.00")).of("post", unit="each", pack=10.0) is None


def test_a_roll_is_priced_by_its_length_or_by_the_metre_only():
    prices = list_of(("mesh", "m", 100.0, "190.00"))
    assert prices.of("mesh", unit="m", pack=200.0, is_roll=True) is None
    prices = list_of(("mesh", "m", 100.0, "190.00"), ("mesh", "m", 1.0, "2.00"))
    assert prices.of("mesh", unit="m", pack=200.0, is_roll=True).pack == 1.0


def test_a_price_in_another_unit_is_none():
    assert list_of(("post", "kg", 1.0, "5.00")).of("post", unit="each", pack=1.0) is None


@pytest.mark.parametrize(("value", "text"), [(402.3, "402.3"), (0.1, "0.1"), (1.0, "1.0")])
def test_decimals_are_those_a_person_would_write(value, text):
    assert as_decimal(value) == Decimal(text)
