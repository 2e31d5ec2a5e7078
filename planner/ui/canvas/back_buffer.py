"""The back buffer: the map drawn once, a little larger than the window, moved about by whole pixels.

A pan copies it and draws only the strips that came into sight. A change of scale shows it enlarged at once, while the
exact picture is drawn beside it in slices: what is in sight first, the margin after that, an overview of everything
last.
"""

from __future__ import annotations

from PySide6.QtCore import QPoint, QRect, QRectF, QSize
from PySide6.QtGui import QColor, QPainter, QPixmap

from planner.ui.canvas.protocols import Frame
from planner.ui.canvas.scene import Drawing, Scene
from planner.ui.canvas.view import Bounds

MARGIN = 256
"""Pixels drawn beyond each edge of the window."""
AT_ONCE_S = 0.005
"""A picture that takes less than this is drawn at once, without a preview. [s]"""
STRIPS_S = 0.040
"""Strips that take less than this are drawn within the pan itself. [s]"""
SLICE_S = 0.0065
"""Time that a slice of drawing may take; a step already begun comes on top. [s]"""
OVERVIEW_PX = 1000


class BackBuffer:
    """Pixmap of the map with a margin, and what of it can be trusted. Everything here is in device pixels.

    Args:
        scene: What to draw.
    """

    def __init__(self, scene: Scene) -> None:
        self._scene = scene
        self.size = QSize(1, 1)
        self._front, self._spare = QPixmap(), QPixmap()
        self._frame: Frame | None = None
        self._valid = QRect()
        self._sight = Frame(0.0, 0.0, 1.0, 1, 1)
        self._job: Drawing | None = None
        self._job_swaps = False
        self._stale = False
        self._overview: tuple[QPixmap, Frame] | None = None
        self._overview_job: Drawing | None = None
        self.extent: Bounds | None = None

    # -- what is asked of it ------------------------------------------------------------------------------------

    def resize(self, width: int, height: int) -> None:
        """Takes a window of another size; what was drawn is drawn again."""
        if QSize(width, height) != self.size:
            self.size = QSize(width, height)
            whole = self.size + QSize(2 * MARGIN, 2 * MARGIN)
            self._front, self._spare = QPixmap(whole), QPixmap(whole)
            self._frame, self._job, self._valid = None, None, QRect()

    def renew(self) -> None:
        """What is drawn no longer holds: other layers, other colours. It stays on view until there is better."""
        self._stale, self._job, self._overview_job = True, None, None
        self._overview = None

    def refine(self, units_per_px_ready: bool) -> None:
        """A finer picture of the same can be drawn: the one on view is drawn again."""
        if units_per_px_ready:
            self._stale, self._job = True, None
        self._overview_job = None

    def look(self, left: float, top: float, units_per_px: float, *, exact: bool) -> tuple[float, float]:
        """Looks at the ground from a corner, drawing what can be drawn at once.

        Returns:
            The corner, moved by less than a pixel so that what is drawn fits it.
        """
        self._sight = Frame(left, top, units_per_px, self.size.width(), self.size.height())
        own = self._frame
        if own is not None and not self._stale and abs(own.units_per_px / units_per_px - 1.0) < 1e-9:
            if self._move(own, exact):
                return self._sight.left, self._sight.top
        elif own is not None and self._job is not None and not self._job_swaps:
            self._job = None
        self._draw(exact)
        return self._sight.left, self._sight.top

    @property
    def is_settled(self) -> bool:
        """True when what is on view is exact."""
        return self._frame is not None and not self._stale and self._valid.contains(self._window_in(self._frame)) \
            and abs(self._frame.units_per_px / self._sight.units_per_px - 1.0) < 1e-9

    @property
    def wants_work(self) -> bool:
        """True when there is something left to draw: the exact picture, the margin or the overview."""
        return self._job is not None or not self.is_settled or self._valid != self._front.rect() \
            or (self._overview is None and self.extent is not None)

    def work(self, seconds: float = SLICE_S) -> bool:
        """Draws for a while. True when what is on view has changed. [s]"""
        if self._job is None and not self.is_settled:
            if self._begin():
                return True
        elif self._job is None and self._valid != self._front.rect() and self._frame is not None:
            self._job, self._job_swaps = Drawing(self._scene, self._front, self._frame, self._margins()), False
        if self._job is not None:
            return self._work_on(self._job, seconds)
        if self._overview is None and self.extent is not None:
            self._work_on_overview(self.extent, seconds)
        return False

    def paint(self, painter: QPainter) -> None:
        """Shows what there is, on a painter that measures in device pixels of the window."""
        own, sight = self._frame, self._sight
        if own is not None and self.is_settled:
            window = self._window_in(own)
            painter.drawPixmap(QPoint(0, 0), self._front, window)
            return
        painter.fillRect(0, 0, sight.width, sight.height, QColor(self._scene.theme.ground))
        if self._overview is not None:
            pixmap, frame = self._overview
            painter.drawPixmap(_laid(frame, QRect(0, 0, frame.width, frame.height), sight), pixmap,
                               QRectF(0, 0, frame.width, frame.height))
        if own is not None and not self._valid.isEmpty():
            seen = self._valid & self._under(own, sight)
            painter.drawPixmap(_laid(own, seen, sight), self._front, QRectF(seen))

    # -- how it is done -----------------------------------------------------------------------------------------

    def _window_in(self, frame: Frame) -> QRect:
        x = round((self._sight.left - frame.left) / frame.units_per_px)
        y = round((frame.top - self._sight.top) / frame.units_per_px)
        return QRect(QPoint(max(min(x, 10**8), -10**8), max(min(y, 10**8), -10**8)), self.size)

    @staticmethod
    def _under(own: Frame, sight: Frame) -> QRect:
        """Pixels of a frame that lie in sight, and a few more."""
        ratio = sight.units_per_px / own.units_per_px
        x = (sight.left - own.left) / own.units_per_px
        y = (own.top - sight.top) / own.units_per_px
        if max(abs(x), abs(y)) > 1e8:
            return QRect()
        return QRect(int(x) - 2, int(y) - 2, int(sight.width * ratio) + 5, int(sight.height * ratio) + 5)

    def _around(self, sight: Frame) -> Frame:
        u = sight.units_per_px
        return Frame(sight.left - MARGIN * u, sight.top + MARGIN * u, u, sight.width + 2 * MARGIN,
                     sight.height + 2 * MARGIN)

    def _draw(self, exact: bool) -> None:
        frame = self._around(self._sight)
        window = QRect(QPoint(MARGIN, MARGIN), self.size)
        if self._job is not None and self._job_swaps and self._job.frame == frame and not exact:
            return
        self._job = Drawing(self._scene, self._spare, frame, [window])
        self._job_swaps = True
        if exact or self._scene.seconds_for(frame, [window]) < AT_ONCE_S:
            self._work_on(self._job, 60.0)

    def _begin(self) -> bool:
        """Begins a picture; True when there was so little to draw that it was drawn at once."""
        own = self._frame
        if own is not None and not self._stale and abs(own.units_per_px / self._sight.units_per_px - 1.0) < 1e-9 \
                and self._front.rect().contains(self._window_in(own)):
            missing = self._missing(self._window_in(own))
            self._job, self._job_swaps = Drawing(self._scene, self._front, own, missing), False
        else:
            self._draw(False)
        return self._job is None

    def _work_on(self, job: Drawing, seconds: float) -> bool:
        before = len(job.finished)
        done = job.run(seconds)
        if self._job_swaps:
            if done:
                self._front, self._spare = self._spare, self._front
                self._frame, self._valid, self._stale = job.frame, QRect(job.finished[0]), False
                self._job = None
            return done
        window = self._window_in(job.frame)
        was_settled = self.is_settled
        for rect in job.finished[before:]:
            self._valid = self._valid.united(rect) if not self._valid.isEmpty() else QRect(rect)
        if done:
            self._job = None
        return not was_settled and self._valid.contains(window)

    def _move(self, own: Frame, exact: bool) -> bool:
        """Keeps what is drawn and draws the strips that came into sight; False when a fresh picture is better."""
        window = self._window_in(own)
        u = own.units_per_px
        self._sight = self._sight._replace(left=own.left + window.x() * u, top=own.top - window.y() * u)
        if self._valid.contains(window):
            return True
        kept = self._valid & window
        if kept.width() * kept.height() < 0.35 * window.width() * window.height():
            return False
        self._job = None
        if not self._front.rect().contains(window):
            shift = QPoint(MARGIN, MARGIN) - window.topLeft()
            self._front.scroll(shift.x(), shift.y(), kept.united(kept.translated(shift)))
            own = Frame(own.left - shift.x() * u, own.top + shift.y() * u, u, own.width, own.height)
            window, kept = window.translated(shift), kept.translated(shift)
        self._frame, self._valid = own, kept
        missing = self._missing(window)
        if exact or self._scene.seconds_for(own, missing) < STRIPS_S:
            Drawing(self._scene, self._front, own, missing).run(60.0)
            self._valid = window
        return True

    def _missing(self, window: QRect) -> list[QRect]:
        """Strips of the window that are not drawn, each making a rectangle with those before it."""
        kept = self._valid & window
        if kept.isEmpty():
            self._valid = QRect()
            return [window]
        self._valid = kept
        strips: list[QRect] = []
        across = QRect(window.x(), kept.y(), window.width(), kept.height())
        for whole, part in ((across, kept), (window, across)):
            strips += _around(whole, part)
        return strips

    def _margins(self) -> list[QRect]:
        whole, kept = self._front.rect(), self._valid
        across = QRect(whole.x(), kept.y(), whole.width(), kept.height())
        return _around(across, kept) + _around(whole, across)

    def _work_on_overview(self, extent: Bounds, seconds: float) -> None:
        west, south, east, north = extent
        u = max(east - west, north - south, 1e-3) / OVERVIEW_PX
        if self._overview_job is None:
            width, height = int((east - west) / u) + 9, int((north - south) / u) + 9
            frame = Frame(west - 4 * u, north + 4 * u, u, width, height)
            self._overview_job = Drawing(self._scene, QPixmap(width, height), frame, [QRect(0, 0, width, height)])
        if self._overview_job.run(seconds):
            self._overview = (self._overview_job.target, self._overview_job.frame)
            self._overview_job = None


def _around(outer: QRect, inner: QRect) -> list[QRect]:
    """What of a rectangle lies left, right, above and below another that is as high or as wide."""
    right, foot = inner.x() + inner.width(), inner.y() + inner.height()
    sides = (QRect(outer.x(), inner.y(), inner.x() - outer.x(), inner.height()),
             QRect(right, inner.y(), outer.x() + outer.width() - right, inner.height()),
             QRect(inner.x(), outer.y(), inner.width(), inner.y() - outer.y()),
             QRect(inner.x(), foot, inner.width(), outer.y() + outer.height() - foot))
    return [side for side in sides if side.width() > 0 and side.height() > 0]


def _laid(frame: Frame, rect: QRect, sight: Frame) -> QRectF:
    """Where a rectangle of a frame lies in another."""
    ratio = frame.units_per_px / sight.units_per_px
    return QRectF((frame.left - sight.left) / sight.units_per_px + rect.x() * ratio,
                  (sight.top - frame.top) / sight.units_per_px + rect.y() * ratio,
                  rect.width() * ratio, rect.height() * ratio)
