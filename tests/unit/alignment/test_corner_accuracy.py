"""How well corners are known: class and fit together."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from planner.alignment.corner_accuracy import corner_sd, line_sd
from planner.alignment.line import FenceLine
from planner.errors import OutOfRange
from planner.settings import Settings

XY = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 80.0]])
DRAWN = FenceLine("a", "x", XY, accuracy="handheld")
FITTED = replace(DRAWN, corner_sd_m=np.array([0.0, 3.0, 9.0]))


def test_a_drawn_line_has_the_deviation_of_its_class() -> None:
    assert corner_sd(DRAWN, Settings()).tolist() == [4.0, 4.0, 4.0]
    assert line_sd(DRAWN, Settings()) == 4.0


def test_a_fitted_corner_is_known_no_better_than_its_fit_and_its_class() -> None:
    """3 and 4 make 5; the root mean square of 4, 5 and the root of 97 is that of 46."""
    assert corner_sd(FITTED, Settings()) == pytest.approx([4.0, 5.0, np.sqrt(97.0)])
    assert line_sd(FITTED, Settings()) == pytest.approx(np.sqrt((16.0 + 25.0 + 97.0) / 3.0))


def test_moved_corners_keep_their_deviation_and_other_corners_have_none() -> None:
    assert FITTED.with_corners(XY + 1.0).corner_sd_m is FITTED.corner_sd_m
    assert FITTED.with_corners(XY[:2]).corner_sd_m is None
    assert DRAWN.with_corners(XY + 1.0).corner_sd_m is None


@pytest.mark.parametrize("sd", [[1.0, 2.0], [1.0, 2.0, np.nan], [1.0, 2.0, -0.1], [1.0, 2.0, np.inf]])
def test_deviations_that_cannot_be(sd: list[float]) -> None:
    with pytest.raises(OutOfRange, match="not one to a corner, finite and at least zero"):
        replace(DRAWN, corner_sd_m=np.array(sd))
