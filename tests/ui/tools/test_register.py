"""The register: every tool of the rail is there, is taken up and put down again, and looks alike in every theme."""

from __future__ import annotations

import pytest

from planner.ui.actions import tools
from planner.ui.measures import Measures
from planner.ui.theme import theme
from planner.ui.tools.register import make_tool


@pytest.mark.parametrize("action", [row.id for row in tools()])
def test_every_tool_of_the_rail_is_taken_up_and_put_down(hand, action):
    tool = hand.take(action)
    assert tool is not None
    assert hand.window.actions_table[action].isChecked()
    assert hand.window.foot.hint.text() == tool.hint != ""
    hand.move(456_300, 5_952_000)
    tool.set_looks(Measures("chains"), theme("dark"))
    hand.canvas.grab()
    hand.take(action)
    assert hand.tool is None
    assert not hand.window.actions_table[action].isChecked()
    assert hand.window.foot.hint.text() == ""


def test_one_tool_at_a_time(hand):
    first = hand.take("tool_draw")
    second = hand.take("tool_gate")
    assert first is not second
    assert [row.id for row in tools() if hand.window.actions_table[row.id].isChecked()] == ["tool_gate"]


def test_an_action_that_is_no_tool_has_none(hand):
    assert make_tool("save", hand.document, hand.canvas, Measures(), hand.window.look) is None
