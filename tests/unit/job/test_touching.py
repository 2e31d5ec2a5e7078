from __future__ import annotations

import shapely

from planner.job.touching import TOUCH_M, touching


def line(*xy: tuple[float, float]) -> shapely.LineString:
    return shapely.LineString(xy)


def test_stretches_are_followed_through_one_another_and_what_lies_apart_is_left() -> None:
    creek = [line((0, 0), (100, 0)), line((300, 0), (400, 0)), line((100, 0), (200, 0)), line((200, 0), (300, 0)),
             line((0, 50), (100, 50))]
    assert touching(creek, 0) == (1, 2, 3)
    assert touching(creek, 2) == (0, 1, 3)
    assert touching(creek, 4) == ()


def test_a_stream_that_joins_in_the_middle_touches() -> None:
    assert touching([line((0, 0), (100, 0)), line((50, 0), (50, 80))], 0) == (1,)


def test_the_gap_that_still_touches() -> None:
    def apart(gap_m: float) -> tuple[int, ...]:
        return touching([line((0, 0), (100, 0)), line((100 + gap_m, 0), (200, 0))], 0)

    assert apart(TOUCH_M) == (1,)
    assert apart(TOUCH_M + 1e-6) == ()


def test_a_pond_on_a_creek_touches_it() -> None:
    assert touching([line((0, 0), (100, 0)), shapely.Point(110, 0).buffer(10.0)], 1) == (0,)
