"""Ground classes in the strip: the ground toned where its class was said, with its name."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from planner.jobpack.ground_bands import GroundBand
from planner.ui.strip.scale import StripScale
from planner.ui.theme import Theme

_NAME_PX = 15.0


def draw_ground_classes(painter: QPainter, bands: Sequence[GroundBand], scale: StripScale, soil: QPolygonF,
                        look: Theme) -> None:
    """Tones and names what lies under each band.

    Args:
        painter: Where.
        bands: Stretches of which the ground was said.
        scale: How the line lies there.
        soil: The ground as drawn, closed at the foot of the strip.
        look: The theme.
    """
    tone = QColor(look.map.lines["index contour"])
    tone.setAlphaF(0.45)
    painter.setFont(look.font(8.0))
    for band in bands:
        left, right = (float(scale.x(at)) for at in (band.from_m, band.to_m))
        left, right = max(left, scale.field.left()), min(right, scale.field.right())
        if right <= left:
            continue
        room = QRectF(left, scale.field.top() - 40.0, right - left, scale.field.height() + 41.0)
        painter.save()
        painter.setClipRect(room, Qt.ClipOperation.IntersectClip)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(tone)
        painter.drawPolygon(soil)
        name = next((n for n in band.names if painter.fontMetrics().horizontalAdvance(n) < room.width() - 8.0), "")
        painter.setPen(QPen(QColor(look.ink)))
        painter.drawText(QRectF(left, scale.field.bottom() - _NAME_PX - 1.0, right - left, _NAME_PX),
                         Qt.AlignmentFlag.AlignCenter, name)
        painter.restore()
