"""A fence type drawn as it stands: two posts, its wires at their heights, its mesh."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QLineF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from planner.jobpack.page.measures import grouped
from planner.ui.theme import Theme
from planner.units import Metre

if TYPE_CHECKING:
    from planner.spec.fence_type import FenceType

_DEEP_M: Metre = 0.45


class FencePicture(QWidget):
    """A fence type drawn to scale in height.

    Args:
        parent: Qt parent.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._fence: FenceType | None = None
        self._look: Theme | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_fence(self, fence: FenceType | None, look: Theme) -> None:
        """Shows a fence type."""
        self._fence, self._look = fence, look
        self.setFixedHeight(round(118 * look.scale))
        self.setVisible(fence is not None)
        self.setAccessibleName(f"Drawing of {fence.name}" if fence is not None else "")
        self.update()

    def paintEvent(self, _: QPaintEvent) -> None:
        """Draws it."""
        if self._fence is None or self._look is None:
            return
        fence, look = self._fence, self._look
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(look.font(7.8))
        top = fence.height_m + fence.posts.head_m + 0.08
        per_m = (self.height() - 4.0) / (top + _DEEP_M)
        ground = 2.0 + top * per_m
        left, right = 14.0 * look.scale, self.width() - 62.0 * look.scale
        soil = QColor(look.map.lines["contour"])
        soil.setAlphaF(0.55)
        painter.fillRect(QRectF(0, ground, right + 14.0, self.height() - ground), soil)
        self._mesh(painter, fence, QRectF(left, ground, right - left, per_m), look)
        self._wires(painter, fence, QRectF(left, ground, right - left, per_m), look)
        for x in (left + 10.0, right - 10.0):
            high = (fence.height_m + fence.posts.head_m) * per_m
            painter.fillRect(QRectF(x - 2.5, ground - high, 5.0, high + _DEEP_M * 0.8 * per_m), QColor(look.ink))
        painter.end()

    def _mesh(self, painter: QPainter, fence: FenceType, field: QRectF, look: Theme) -> None:
        """The mesh; the field's top is the ground and its height a metre. [px]"""
        mesh = fence.mesh
        if mesh is None:
            return
        per_m, ground = field.height(), field.top()
        low = ground - mesh.gap_below_m * per_m
        high = low - mesh.height_m * per_m
        faint = QColor(look.ink)
        faint.setAlphaF(0.5)
        painter.setPen(QPen(faint, 1.0))
        step = max(mesh.picket_spacing_m * per_m, 5.0)
        number = int(field.width() / step)
        painter.drawLines([QLineF(field.left() + k * step, low, field.left() + k * step, high)
                           for k in range(number + 1)])
        painter.setPen(QPen(QColor(look.ink), 1.1))
        painter.drawLines([QLineF(field.left(), low - h * per_m, field.right(), low - h * per_m)
                           for h in mesh.line_wire_heights_m])

    def _wires(self, painter: QPainter, fence: FenceType, field: QRectF, look: Theme) -> None:
        per_m, ground = field.height(), field.top()
        for strand in reversed(fence.strands):
            y = ground - strand.height_m * per_m
            hot = strand.kind in ("hot", "poly")
            pen = QPen(QColor(look.accent if hot else look.ink), 3.0 if strand.kind == "rail" else 1.6)
            if hot:
                pen.setStyle(Qt.PenStyle.DashLine)
            painter.setPen(pen)
            painter.drawLine(QLineF(field.left(), y, field.right(), y))
            if strand.kind == "barbed":
                painter.drawLines([QLineF(x, y - 3.0, x + 3.0, y + 3.0) for x in
                                   range(round(field.left()) + 8, round(field.right()), 16)])
        heights = [strand.height_m for strand in fence.strands]
        if fence.mesh is not None:
            heights += [fence.mesh.gap_below_m + fence.mesh.height_m, fence.mesh.gap_below_m]
        above = -1e9
        for height in sorted(set(heights), reverse=True):
            y = max(ground - height * per_m, above + 0.82 * painter.fontMetrics().height())
            self._height(painter, height, y, field.right() + 18.0 * look.scale, look)
            above = y

    def _height(self, painter: QPainter, height_m: Metre, y: float, x: float, look: Theme) -> None:
        high = painter.fontMetrics().height()
        painter.setPen(QColor(look.soft_ink))
        painter.drawText(QRectF(x, y - high / 2, self.width() - x, high),
                         Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, grouped(1000.0 * height_m, 0))
