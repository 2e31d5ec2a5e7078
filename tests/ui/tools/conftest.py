"""What the tests of the tools share: a window with the sample job, and a hand that works on its map."""

from __future__ import annotations

import pytest
from map_hand import Hand


@pytest.fixture
def hand(sample_window, qtbot) -> Hand:
    return Hand(sample_window, qtbot)
