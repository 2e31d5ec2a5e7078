"""The register of tools: which action takes up which tool. Each is loaded when it is first wanted."""

from __future__ import annotations

import importlib
from collections.abc import Mapping
from typing import cast

from planner.ui.canvas.map_canvas import MapCanvas
from planner.ui.document import Document
from planner.ui.measures import Measures
from planner.ui.theme import Theme
from planner.ui.tools.map_tool import MapTool

_TOOLS: Mapping[str, tuple[str, str]] = {
    "tool_draw": ("draw", "DrawTool"),
    "tool_corners": ("corners", "CornersTool"),
    "tool_gate": ("gates", "GateTool"),
    "tool_crossing": ("crossings", "CrossingTool"),
    "tool_feature": ("feature", "FeatureTool"),
    "tool_measure": ("measure", "MeasureTool"),
    "tool_setback": ("setback", "SetbackTool"),
    "tool_divide": ("divide", "DivideTool"),
    "tool_straighten": ("straight", "StraightTool"),
    "tool_traverse": ("bearings", "BearingsTool"),
}
"""Action id to module and class."""


def make_tool(action_id: str, document: Document, canvas: MapCanvas, measures: Measures,
              theme: Theme) -> MapTool | None:
    """The tool of an action; None when the action has none.

    Args:
        action_id: Action id, such as ``tool_draw``.
        document: The document.
        canvas: The map.
        measures: How values are shown and read.
        theme: The theme.
    """
    found = _TOOLS.get(action_id)
    if found is None:
        return None
    module = importlib.import_module(f"planner.ui.tools.{found[0]}")
    return cast("MapTool", getattr(module, found[1])(document, canvas, measures, theme))
