"""The toolbox: which tool has the map in hand, its action lit on the rail, its hint in the foot line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from planner.errors import PlannerError
from planner.ui.actions import Actions, tools
from planner.ui.canvas.map_canvas import MapCanvas
from planner.ui.document import Document
from planner.ui.map_link import MapLink
from planner.ui.measures import Measures
from planner.ui.theme import Theme

if TYPE_CHECKING:
    from planner.ui.tools.map_tool import MapTool


class Toolbox(QObject):
    """Hands the map to one tool at a time.

    Args:
        canvas: The map.
        link: The map joined to the document.
        document: The document.
        actions: The actions of the window.
        measures: How values are shown and read.
        look: The theme.

    Attributes:
        hinted: What the tool in hand waits for; empty without one.
        troubled: A tool could not be taken up.
    """

    hinted = Signal(str)
    troubled = Signal(object)

    def __init__(self, canvas: MapCanvas, link: MapLink, document: Document, actions: Actions, measures: Measures,
                 look: Theme) -> None:
        super().__init__(canvas)
        self._canvas, self._link, self._document, self._actions = canvas, link, document, actions
        self._look, self._measures = look, measures
        self.in_hand = ""
        self.tool: MapTool | None = None

    def take(self, name: str) -> None:
        """Takes a tool in hand; the one in hand is put down.

        Args:
            name: Its action; empty, or that of the tool in hand, to put it down.
        """
        wanted = "" if name == self.in_hand else name
        self._put_down()
        if wanted:
            self._take_up(wanted)
        for row in tools():
            self._actions[row.id].setChecked(row.id == self.in_hand)
        self.hinted.emit(self.tool.hint if self.tool is not None else "")

    def set_looks(self, measures: Measures, look: Theme) -> None:
        """Takes other colours and units."""
        self._look, self._measures = look, measures
        if self.tool is not None:
            self.tool.set_looks(measures, look)

    def _take_up(self, name: str) -> None:
        from planner.ui.tools.register import make_tool

        tool = make_tool(name, self._document, self._canvas, self._measures, self._look)
        if tool is None:
            self.troubled.emit(PlannerError("this version has no such tool on the map yet",
                                            remedy="the command line can do it: 'strainwright --help' tells how"))
            return
        self.tool, self.in_hand = tool, name
        tool.hinted.connect(self.hinted)
        tool.ended.connect(lambda: self.take("") if self.tool is tool else None)
        tool.begin()
        self._canvas.set_tool(tool)
        self._canvas.setFocus()

    def _put_down(self) -> None:
        tool, self.tool, self.in_hand = self.tool, None, ""
        if tool is not None:
            self._canvas.set_tool(None)
            tool.end()
            tool.deleteLater()
