"""Days, amounts and figures as people type them."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from planner.errors import BadSetting
from planner.upkeep.typed import day_gone_by, typed_money, typed_number

TODAY = date(2026, 6, 30)


@pytest.mark.parametrize(("text", "day"), [
    ("", None), ("2026-06-30", TODAY), ("1999-12-31", date(1999, 12, 31)), ("2026-07-01", date(2026, 7, 1))])
def test_a_day_that_has_come(text, day):
    assert day_gone_by(text, today=TODAY) == day


def test_a_day_that_has_not_come_yet():
    with pytest.raises(BadSetting, match="2026-07-02 has not come yet"):
        day_gone_by("2026-07-02", today=TODAY)


def test_money_and_figures_take_the_same_numbers():
    assert typed_money("12,50") == Decimal("12.50")
    assert typed_money(" – ") is None
    assert typed_money("9999999999,99") == Decimal("9999999999.99")
    assert typed_number("12,5 %", "--percent", low=0.0, high=12.5) == 12.5


@pytest.mark.parametrize("text", ["-0,01", "12,5 each", "NaN", "10000000000", "1e999"])
def test_what_is_no_amount(text):
    with pytest.raises(BadSetting, match="is no amount of money"):
        typed_money(text, "--cost")


def test_a_figure_just_beyond_its_limit():
    with pytest.raises(BadSetting, match=r"not a number from 0 to 12\.5"):
        typed_number("12,51", "--percent", low=0.0, high=12.5)
