from __future__ import annotations

from decimal import Decimal

import pytest

from planner.errors import BadSetting
from planner.job.quote_terms import Extra, Multiplier, QuoteTerms


@pytest.mark.parametrize("terms", [
    {"mark_up": Decimal(0)}, {"mark_up": Decimal(10)}, {"valid_days": 1}, {"valid_days": 3650},
    {"multipliers": (Multiplier("mesh", "", 20.0),)}, {"rates": (("gates", Decimal(0)),)},
    {"extras": (Extra("x", "m", Decimal(0)),)}])
def test_the_limits_themselves_are_kept(terms):
    QuoteTerms(**terms)


@pytest.mark.parametrize(("terms", "said"), [
    ({"mark_up": Decimal("-0.01")}, "mark-up: -0.01 is not a number from 0 to 10"),
    ({"mark_up": Decimal("NaN")}, "mark-up: NaN is not"), ({"mark_up": Decimal("10.01")}, "mark-up"),
    ({"valid_days": 0}, "days the quote stands"), ({"valid_days": 3651}, "days the quote stands"),
    ({"multipliers": (Multiplier("mesh", "", 0.0),)}, "multiplier of mesh: 0 is not"),
    ({"multipliers": (Multiplier("mesh", "", float("nan")),)}, "multiplier of mesh"),
    ({"multipliers": (Multiplier("roof", "", 1.0),)}, "no labour component 'roof'"),
    ({"rates": (("roof", Decimal(1)),)}, "no labour component 'roof'"),
    ({"rates": (("mesh", Decimal(-1)),)}, "rate of mesh"),
    ({"extras": (Extra("Rock", "h", Decimal("Infinity")),)}, "rate of Rock")])
def test_beyond_them_is_refused_in_a_sentence(terms, said: str):
    with pytest.raises(BadSetting, match=said):
        QuoteTerms(**terms)
