"""What is written down once the work began."""

from datetime import date

import pytest

from planner.errors import OutOfRange
from planner.upkeep.records import AsBuilt, Built, Inspection, Loss, Progress, Records, with_line_renamed

DAY = date(2026, 11, 2)


@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
def test_progress_is_a_share(share: float):
    assert Progress("Creek", "A1", "posts", share, DAY).share == share


@pytest.mark.parametrize("share", [-0.01, 1.01, float("nan")])
def test_what_is_no_share_is_refused(share: float):
    with pytest.raises(OutOfRange, match="is not a share"):
        Progress("Creek", "A1", "posts", share, DAY)


def test_a_part_of_the_work_that_is_not_known_is_refused():
    with pytest.raises(OutOfRange, match="no part of the work 'paint'"):
        Progress("Creek", "A1", "paint", 0.5, DAY)


@pytest.mark.parametrize(("first", "last"), [(10.0, 10.0), (10.0, 5.0), (-1.0, 5.0)])
def test_a_loss_that_ends_before_it_begins_is_refused(first: float, last: float):
    with pytest.raises(OutOfRange, match="is no stretch"):
        Loss("Creek", first, last, DAY, "flood")


def test_a_line_that_is_renamed_keeps_its_records():
    kept = Records((Progress("Creek", "A1", "posts", 0.5, DAY),), (AsBuilt("t", "Creek", "POINT (0 0)"),),
                   (Inspection("Hill", "", DAY), Inspection("Creek", "", DAY)), (Loss("Creek", 0.0, 5.0, DAY, "fire"),),
                   (Built("Creek", DAY),))
    after = with_line_renamed(kept, "Creek", "River")
    renamed = (*after.progress, *after.as_built, *after.losses, *after.built)
    assert {one.line for one in renamed} == {"River"}
    assert [one.line for one in after.inspections] == ["Hill", "River"]
    assert with_line_renamed(kept, "Nowhere", "River") is kept
