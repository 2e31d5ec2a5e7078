"""The work page: map in the middle with the tool rail, strip under it, panel at the right."""

from __future__ import annotations

from PySide6.QtCore import QByteArray, Qt, Signal
from PySide6.QtWidgets import QFrame, QSplitter, QVBoxLayout, QWidget

from planner.survey.features import Feature
from planner.ui.actions import Actions, tools
from planner.ui.canvas.map_canvas import MapCanvas
from planner.ui.document import Document
from planner.ui.map_link import MapLink
from planner.ui.measures import Measures
from planner.ui.step_panels import StepPanels
from planner.ui.strip.strip import Strip
from planner.ui.theme import Theme
from planner.ui.tool_rail import ToolRail
from planner.ui.toolbox import Toolbox
from planner.ui.way_state import StepKey

PANEL_WIDTH, STRIP_HEIGHT = 376, 224
_WIDEST_PANEL, _PANEL_SHARE = 460, 0.24


class WorkPage(QWidget):
    """Map, strip and panel.

    Args:
        document: The document.
        actions: The actions of the window.
        look: The theme.
        measures: How values are shown.
        parent: Qt parent.

    Attributes:
        packed: The job pack was written; its folder.
    """

    packed = Signal(object)

    def __init__(self, document: Document, actions: Actions, look: Theme, measures: Measures,
                 parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("page")
        self.canvas = MapCanvas(self, theme=look.map)
        self.map = MapLink(self.canvas, document, look, measures)
        self.rail = ToolRail(tools(), [actions[row.id] for row in tools()], look, self.canvas)
        self.map.rail_px = lambda: self.rail.taken_px
        self._look, self._measures = look, measures
        self._import = actions["import"].trigger
        self.tools = Toolbox(self.canvas, self.map, document, actions, measures, look)
        self.strip = Strip(document, look)
        self.panels = StepPanels(document, look, measures, self)
        self._left = QSplitter(Qt.Orientation.Vertical, self)
        self._left.setAccessibleName("Map and strip")
        for widget, name in ((self.canvas, "map"), (self.strip, "strip")):
            self._left.addWidget(framed(widget, name, self._left))
        self._whole = QSplitter(Qt.Orientation.Horizontal, self)
        self._whole.setAccessibleName("Work and panel")
        self._whole.addWidget(self._left)
        self._whole.addWidget(self.panels)
        for splitter in (self._left, self._whole):
            splitter.setChildrenCollapsible(False)
            splitter.setHandleWidth(10)
            splitter.setStretchFactor(0, 1)
            splitter.setStretchFactor(1, 0)
        column = QVBoxLayout(self)
        column.setContentsMargins(10, 10, 10, 8)
        column.addWidget(self._whole)
        roomy = min(_WIDEST_PANEL, round(_PANEL_SHARE * self.window().width()))
        self._whole.setSizes([10_000, round(max(PANEL_WIDTH, roomy) * max(1.0, 0.5 + look.scale / 2))])
        self._left.setSizes([10_000, STRIP_HEIGHT])
        self.set_theme(look)
        self.set_measures(measures)

    def take_step(self, key: StepKey) -> None:
        """Brings up the panel of a step and lights up what it is about."""
        page = self.panels.show_step(key)
        if not page.property("joined"):
            page.setProperty("joined", True)
            for name, does in (("show_place", self.map.show_finding), ("import_wanted", self._import),
                               ("feature_shown", self.map.show_feature), ("feature_wanted", self._open_feature),
                               ("written", self.packed)):
                if hasattr(page, name):
                    getattr(page, name).connect(does)
        self.map.light(key)
        self.strip.light(key)

    def take_tool(self, name: str) -> None:
        """Takes a tool in hand by its action; an empty name puts it down."""
        self.tools.take(name)

    def _open_feature(self, feature: Feature) -> None:
        self.map.show_feature(feature)
        self.take_tool("")
        self.take_tool("tool_feature")

    def areas(self) -> list[QWidget]:
        """The parts that F6 goes round."""
        return [self.canvas, self.strip, self.panels]

    def set_theme(self, look: Theme) -> None:
        """Takes other colours and sizes."""
        self._look = look
        self.tools.set_looks(self._measures, look)
        self.map.set_theme(look)
        self.rail.set_theme(look)
        self.panels.set_theme(look)
        self.strip.set_theme(look)

    def set_measures(self, measures: Measures) -> None:
        """Shows values in other units."""
        self._measures = measures
        self.tools.set_looks(measures, self._look)
        self.map.set_measures(measures)
        self.panels.set_measures(measures)
        self.strip.set_measures(measures)

    def sizes(self) -> tuple[QByteArray, QByteArray]:
        """Where the splitters stand, to be kept."""
        return self._left.saveState(), self._whole.saveState()

    def restore(self, left: QByteArray, whole: QByteArray) -> None:
        """Puts the splitters where they stood."""
        if not left.isEmpty():
            self._left.restoreState(left)
        if not whole.isEmpty():
            self._whole.restoreState(whole)

    def close_down(self) -> None:
        """Ends background work."""
        self.tools.take("")
        self.panels.close_down()
        self.map.close()


def framed(widget: QWidget, name: str, parent: QWidget) -> QFrame:
    """A widget with the edge of a card around it.

    Args:
        widget: The widget.
        name: Name of the frame.
        parent: Qt parent.
    """
    frame = QFrame(parent)
    frame.setObjectName("card")
    frame.setProperty("area", name)
    column = QVBoxLayout(frame)
    column.setContentsMargins(1, 1, 1, 1)
    column.addWidget(widget)
    return frame

