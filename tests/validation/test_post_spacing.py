"""Line posts on 100 m at the greatest spacing of a rule: ceil(100 / spacing) - 1 between the ends.

Scotland, Forestry Grant Scheme 2015, stock netting: 3.5 m, high-tensile netting 12 m. New Zealand, Fencing Act 1978,
Schedule: 5 m.
"""

from __future__ import annotations

import numpy as np
import pytest
from unit.sections.ground_of import ASSEMBLIES, ITEMS, chain_of, fence_of, ground_of, line_of

from planner.sections.posts import place_posts
from planner.sections.strains import divide
from planner.settings import Settings


@pytest.mark.parametrize(("source", "spacing_m", "posts"), [
    ("Scotland FGS 2015, stock netting", 3.5, 28),
    ("NZ Fencing Act 1978", 5.0, 19),
    ("Scotland FGS 2015, high-tensile netting", 12.0, 8),
])
def test_line_posts_on_a_hundred_metres(source: str, spacing_m: float, posts: int) -> None:
    line = line_of((0, 0), (100, 0))
    ground, settings = ground_of(line), Settings()
    chain, fence = chain_of(ground, []), fence_of(spacing_m=spacing_m, spacing_uneven_m=spacing_m)
    sections = divide(line, ground, chain, fence, settings, code="A", assemblies=ASSEMBLIES)
    found = place_posts(line, ground, chain, sections, fence, settings, ITEMS, assemblies=ASSEMBLIES)
    assert [p.kind for p in found].count("line") == posts, source
    panels = np.diff([p.chainage_m for p in found])
    assert panels.max() <= spacing_m + 1e-9
    assert np.allclose(panels, panels[0])
