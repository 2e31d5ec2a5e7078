"""A valuer's reference on fencing costs (cavrep.com.au): steel posts at 3 m cost $1,132 a kilometre, at 10 m $340, so
that the wider spacing saves about $790. Both figures give the same price of $3.396 a post (1000 m over the spacing).
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import numpy as np
import pytest
from unit.materials.works_of import BARB, CATALOGUE, fence_of, work_of

from planner.materials.estimate import estimate
from planner.materials.prices import Price, PriceList
from planner.materials.takeoff import take_off
from planner.sections.posts import line_post_places
from planner.settings import Settings

EACH = Decimal("3.396")
FREE = Settings().changed({"tax_rate": 0.0, "waste_posts": 0.0})


def posts_cost(spacing_m: float) -> float:
    """Posts of a straight kilometre, one to each panel: those between the ends and one of the two at the ends."""
    ends = np.array([False, False])
    places = line_post_places(np.array([0.0, 1000.0]), ends, spacing_m=spacing_m, uneven_m=spacing_m)
    rows = take_off([work_of("A1", 1000.0, fence_of(BARB), timber=len(places) + 1)], catalogue=CATALOGUE, settings=FREE,
                    roll_plans={})
    posts = [row for row in rows if row.item == "timber"]
    prices = PriceList({("timber", 1.0): Price("timber", "each", 1.0, EACH, "valuer", date(2002, 1, 1))})
    return float(estimate(posts, [], prices, FREE).total)


@pytest.mark.parametrize(("spacing", "printed"), [(3.0, 1132.0), (10.0, 340.0)])
def test_posts_of_a_kilometre_within_one_post(spacing, printed):
    assert posts_cost(spacing) == pytest.approx(printed, abs=float(EACH))


def test_the_wider_spacing_saves_about_790():
    assert posts_cost(3.0) - posts_cost(10.0) == pytest.approx(790.0, abs=2 * float(EACH))
