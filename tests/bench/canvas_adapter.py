"""The map canvas as a benchmark of map canvases wants it: layers in, a view painted before the call returns."""

from __future__ import annotations

from dataclasses import replace
from time import perf_counter

from PySide6.QtCore import QEventLoop

from planner.ui.canvas.colours import LIGHT
from planner.ui.canvas.layer import VectorLayer
from planner.ui.canvas.map_canvas import MapCanvas
from planner.ui.canvas.view import MapView


class Canvas:
    """The map with some layers, their pyramids ready.

    Args:
        layers: Name, corners, offsets and red-green-blue of each layer.
        size: Width and height of the window. [px]
        width: Asked width of lines. [px] Lines of imported layers are drawn one pixel wide whatever is asked.
    """

    def __init__(self, layers: list, size: tuple[int, int] = (1600, 1000), width: float = 1.0) -> None:
        self.widget = MapCanvas(theme=replace(LIGHT, ground="#ffffff"))
        self.widget.resize(*size)
        begun = perf_counter()
        loop = QEventLoop()
        self.widget.layers_ready.connect(loop.quit)
        self.widget.set_layers([VectorLayer(name, xy, offsets, "#{:02x}{:02x}{:02x}".format(*rgb))
                                for name, xy, offsets, rgb in layers])
        loop.exec()
        self.ready_s = perf_counter() - begun

    def set_view(self, cx: float, cy: float, units_per_px: float, exact: bool = False) -> None:
        """Looks from somewhere else and paints.

        Args:
            cx: East of the middle.
            cy: North of the middle.
            units_per_px: Ground a pixel covers.
            exact: True for no preview.
        """
        self.widget.set_view(MapView(cx, cy, units_per_px, self.widget.width(), self.widget.height()), exact=exact)
        self.widget.repaint()
