"""Which posts of a new line stand already as posts of an old fence, and how much old fence goes with each section."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from planner.geometry.lines import chainages
from planner.job.plan import LineInputs
from planner.profile.ground_line import GroundLine
from planner.sections.posts import Post
from planner.sections.strains import Section
from planner.units import Metre


def posts_kept(inputs: LineInputs, ground: GroundLine, posts: Sequence[Post]) -> frozenset[int]:
    """Places in the row of posts of those that stand already.

    Only plain line posts stay: ends, rises, dips and deviations are built anew. As many as the old fence has sound ones
    along the line are taken, spread evenly, since nobody has written down which ones they are.

    Args:
        inputs: The line and the old fences along it.
        ground: Its profile.
        posts: Its posts.
    """
    kept: set[int] = set()
    for stretch in inputs.old:
        start, end = _chainage(inputs, ground, stretch.from_m), _chainage(inputs, ground, stretch.to_m)
        free = [k for k, post in enumerate(posts)
                if post.kind == "line" and k not in kept and start <= post.chainage_m <= end]
        number = min(stretch.posts, len(free))
        kept.update(free[place] for place in _spread(number, len(free)))
    return frozenset(kept)


def removed_along(inputs: LineInputs, ground: GroundLine, sections: Sequence[Section]) -> Mapping[str, Metre]:
    """Section id to the metres of old fence that are taken out along it, shared out by length. [m]

    Args:
        inputs: The line and the old fences along it.
        ground: Its profile.
        sections: Its sections.
    """
    found: dict[str, Metre] = {}
    for stretch in inputs.old:
        start, end = _chainage(inputs, ground, stretch.from_m), _chainage(inputs, ground, stretch.to_m)
        for section in sections:
            part = min(section.to_m, end) - max(section.from_m, start)
            if stretch.removed_m > 0 and part > 0:
                found[section.id] = found.get(section.id, 0.0) + stretch.removed_m * part / (end - start)
    return found


def _spread(number: int, among: int) -> list[int]:
    """Places spread evenly among some; the middles of as many equal parts."""
    return [int((k + 0.5) * among / number) for k in range(number)]


def _chainage(inputs: LineInputs, ground: GroundLine, at: Metre) -> Metre:
    return float(np.interp(at, chainages(inputs.line.xy), ground.chainage_m[ground.vertices]))
