"""Days as people type them."""

from __future__ import annotations

from datetime import date

import pytest

from planner.errors import BadSetting
from planner.upkeep.typed import day_gone_by

TODAY = date(2026, 6, 30)


@pytest.mark.parametrize(("text", "day"), [
    ("", None), ("2026-06-30", TODAY), ("1999-12-31", date(1999, 12, 31)), ("2026-07-01", date(2026, 7, 1))])
def test_a_day_that_has_come(text, day):
    assert day_gone_by(text, today=TODAY) == day


def test_a_day_that_has_not_come_yet():
    with pytest.raises(BadSetting, match="2026-07-02 has not come yet"):
        day_gone_by("2026-07-02", today=TODAY)
