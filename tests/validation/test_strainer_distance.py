"""Greatest distance between strainers.

Countryside Stewardship, England, FG2 (gov.uk): mesh 150 m with mild line wire, 300 m with high-tensile line wire.
NRCS Tennessee CS-382-3 (2002) and NRCS Colorado 382 (2014): woven wire 330 ft. NRCS Colorado 382 (2014): barbed wire
1,320 ft. On a straight 1,000 m of level ground the sections follow by division; the counts are exact.
"""

from __future__ import annotations

import pytest
from unit.sections.ground_of import ASSEMBLIES, chain_of, fence_of, ground_of, line_of

from planner.sections.strains import assemblies_of, divide
from planner.settings import Settings
from planner.units import FOOT_M


@pytest.mark.parametrize(("source", "longest_m", "sections"), [
    ("England FG2, mesh, mild line wire", 150.0, 7),
    ("England FG2, mesh, high-tensile line wire", 300.0, 4),
    ("NRCS Tennessee and Colorado, woven wire", 330 * FOOT_M, 10),
    ("NRCS Colorado, barbed wire", 1320 * FOOT_M, 3),
])
def test_sections_of_a_kilometre(source: str, longest_m: float, sections: int) -> None:
    line = line_of((0, 0), (1000, 0))
    ground = ground_of(line)
    found = divide(line, ground, chain_of(ground, []), fence_of(max_strain_flat_m=longest_m), Settings(), code="A",
                   assemblies=ASSEMBLIES)
    assert len(found) == sections, source
    assert all(s.slope_length_m <= longest_m for s in found)
    assert max(s.slope_length_m for s in found) == pytest.approx(1000 / sections)
    assert sum(map(len, assemblies_of(found, closed=False).values())) == sections + 1
