"""The parts of crossings and hold-downs, as shipped."""

from __future__ import annotations

import pytest

from planner.loads.turns_and_uplift import LADDER
from planner.spec.catalogue import load_catalogue
from planner.spec.crossings import floodgate_kit, hold_down_parts


def test_every_part_is_in_the_shipped_item_list():
    items = load_catalogue().items
    kit = floodgate_kit()
    for key in (kit.cable, kit.cable_grip, kit.shackle, kit.dropper, kit.curtain, kit.ring):
        assert key in items
    for parts in hold_down_parts().values():
        assert all(key in items and quantity > 0 for key, quantity in parts)


def test_every_rung_with_parts_is_a_rung_of_the_ladder():
    assert set(hold_down_parts()) <= {rung.hold_down for rung in LADDER}


def test_a_cable_is_as_long_as_its_parabola_and_its_tails():
    # arc of y = 4 s x (L - x) / L^2 with s = 0.05 L, by a fine polygon
    kit, span = floodgate_kit(), 36.0
    sag = kit.cable_sag_share * span
    xs = [span * k / 10_000 for k in range(10_001)]
    ys = [4.0 * sag * x * (span - x) / span**2 for x in xs]
    arc = sum(((b - a) ** 2 + (d - c) ** 2) ** 0.5 for a, b, c, d in zip(xs, xs[1:], ys, ys[1:], strict=False))
    assert kit.cable_length_m(span) == pytest.approx(arc + 2 * kit.cable_tail_m, abs=0.003)
