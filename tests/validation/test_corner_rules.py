"""At which bend a straining post stands: three published rules that differ.

Countryside Stewardship, England, FG2 (gov.uk): at every change of direction. An Irish grant job (farmersjournal.ie):
where direction changes by more than 30 deg. An NRCS-type text (reposted): where alignment changes by 20 deg or more.
Bends of 10, 25 and 35 deg tell them apart.
"""

from __future__ import annotations

import numpy as np
import pytest
from unit.sections.ground_of import ground_of, line_of

from planner.alignment.corners import corners
from planner.settings import Settings

BENDS = (10.0, 25.0, 35.0)


@pytest.mark.parametrize(("source", "limit_deg", "strainer"), [
    ("England FG2", 0.0, [True, True, True]),
    ("NRCS-type text", 20.0, [False, True, True]),
    ("Irish grant job", 30.0, [False, False, True]),
])
def test_which_bends_take_a_strainer(source: str, limit_deg: float, strainer: list[bool]) -> None:
    heading = np.radians(np.concatenate(([0.0], np.cumsum(BENDS))))
    steps = 80 * np.column_stack((np.cos(heading), np.sin(heading)))
    line = line_of(*map(tuple, np.concatenate(([[0.0, 0.0]], np.cumsum(steps, axis=0)))))
    found = corners(line, ground_of(line), Settings().changed({"corner_deg": limit_deg}))
    assert [c.role == "corner" for c in found[1:-1]] == strainer, source
    assert [c.turn_deg for c in found[1:-1]] == pytest.approx(BENDS)
