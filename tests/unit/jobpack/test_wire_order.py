"""The order of straining, and which way up a mesh goes."""

from __future__ import annotations

from dataclasses import replace

from planner.jobpack.fence_drawing import is_asymmetric
from planner.jobpack.wire_order import straining_order
from planner.spec.catalogue import load_catalogue

FENCES = load_catalogue().fences


def names(key: str) -> list[str]:
    return [step.name for step in straining_order(FENCES[key])]


def test_mesh_stands_between_what_carries_it_and_what_goes_above() -> None:
    assert names("general-mesh") == ["mesh", "plain wire", "top barb"]
    assert names("sheep-mesh") == ["belly wire", "mesh", "top wire"]


def test_wires_alone_bottom_top_then_from_the_middle() -> None:
    heights = [step.wires[0][0] for step in straining_order(FENCES["cattle-barbed-4"])]
    wires = sorted(heights)
    assert heights == [wires[0], wires[3], wires[1], wires[2]]


def test_every_strained_wire_has_one_turn() -> None:
    for key, fence in FENCES.items():
        steps = straining_order(fence)
        count = sum(step.count for step in steps)
        mesh = fence.mesh.line_wires if fence.mesh else 0
        assert count == mesh + sum(s.strain_n > 0.0 for s in fence.strands), key
        assert [step.number for step in steps] == list(range(1, len(steps) + 1))
        pull = sum(step.count * step.tension_n for step in steps)
        assert abs(pull - fence.pull_n) < 1e-6, key


def test_small_openings_down_only_where_there_are_some() -> None:
    mesh = FENCES["general-mesh"].mesh
    assert mesh is not None
    assert is_asymmetric(mesh)
    assert not is_asymmetric(replace(mesh, line_wire_heights_m=(0.0, 0.1, 0.2, 0.3)))
