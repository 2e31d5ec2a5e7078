"""The toolbox: which tool has the map in hand, and its action lit on the rail."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from planner.ui.actions import Actions, tools
from planner.ui.canvas.map_canvas import MapCanvas
from planner.ui.document import Document
from planner.ui.map_link import MapLink


class Toolbox(QObject):
    """Hands the map to one tool at a time.

    Args:
        canvas: The map.
        link: The map joined to the document.
        document: The document.
        actions: The actions of the window.

    Attributes:
        hinted: What the tool in hand waits for; empty without one.
    """

    hinted = Signal(str)

    def __init__(self, canvas: MapCanvas, link: MapLink, document: Document, actions: Actions) -> None:
        super().__init__(canvas)
        self._canvas, self._link, self._document, self._actions = canvas, link, document, actions
        self.in_hand = ""

    def take(self, name: str) -> None:
        """Takes a tool in hand.

        Args:
            name: Its action; empty to put the tool down.
        """
        self.in_hand = ""
        self._canvas.set_tool(None)
        for row in tools():
            self._actions[row.id].setChecked(row.id == self.in_hand)
        self.hinted.emit("")
