"""What is settled, and for how long."""

from datetime import date

import pytest

from planner.surroundings.clearances import KINDS, Clearance

DAY = date(2026, 11, 2)


@pytest.mark.parametrize(("clearance", "holds"), [
    (Clearance("services"), False),
    (Clearance("services", settled=DAY), True),
    (Clearance("services", settled=date(2026, 11, 3)), False),
    (Clearance("services", settled=date(2026, 10, 1), expires=DAY), True),
    (Clearance("services", settled=date(2026, 10, 1), expires=date(2026, 11, 1)), False),
    (Clearance("funding", not_needed="no grant"), True)])
def test_it_holds_from_the_day_it_is_settled_to_the_day_it_runs_out(clearance: Clearance, holds: bool):
    assert clearance.holds_on(DAY) is holds


def test_every_kind_says_what_has_to_be_true():
    assert all(KINDS.values())
