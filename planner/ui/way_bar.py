"""The way bar: the eight steps as a run of posts and wires, a post a step, each as its step stands.

A post tells its state by its shape as well as by its colour: hollow while there is nothing yet; driven and plain when
all is fine; carrying a cap when something wants a look; leaning, its wires slack, when something is wrong.
"""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPainterPath, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QAbstractButton, QButtonGroup, QHBoxLayout, QSizePolicy, QWidget

from planner.ui.theme import Theme
from planner.ui.way_state import STEPS, StepKey, StepState

_POST_W, _POST_X = 8.0, 9.0
_TITLE_PT, _FIGURE_PT = 10.5, 9.0


class WayPost(QAbstractButton):
    """One step: a post, its name and its figure beside it, and the wires that run on to the next.

    Args:
        state: How the step stands.
        look: The theme.
        is_last: True for the post at which the wires end.
        parent: Qt parent.
    """

    def __init__(self, state: StepState, look: Theme, *, is_last: bool, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setCheckable(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._look, self._is_last = look, is_last
        self.set_state(state)

    @property
    def state(self) -> StepState:
        """How the step stands."""
        return self._state

    def set_state(self, state: StepState) -> None:
        """Shows another state."""
        self._state = state
        self.setText(state.step.title)
        self.setAccessibleName(state.words)
        number = STEPS.index(state.step) + 1
        self.setToolTip(f"{state.words}.\n{state.step.asks}  (Alt+{number})")
        self.update()

    def set_theme(self, look: Theme) -> None:
        """Takes other colours and sizes."""
        self._look = look
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        """Room for the post, its name and its figure."""
        title = QFontMetricsF(self._look.font(_TITLE_PT, weight=600))
        figure = QFontMetricsF(self._look.font(_FIGURE_PT))
        wide = max(title.horizontalAdvance(self._state.step.title), figure.horizontalAdvance(self._state.figure))
        return QSize(round(_POST_X + _POST_W + 10 + wide + 6), round(title.height() + figure.height() + 28))

    def minimumSizeHint(self) -> QSize:
        """Room for its name; a figure too long for it is cut short."""
        title = QFontMetricsF(self._look.font(_TITLE_PT, weight=600))
        wide = title.horizontalAdvance(self._state.step.title)
        return QSize(round(_POST_X + _POST_W + 10 + wide + 4), self.sizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draws the wires, the post and the words."""
        look, painter = self._look, QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        lit = self.isChecked() or self.underMouse()
        painter.fillRect(self.rect(), QColor(look.way_in_hand if lit else look.way))
        if self.isChecked():
            painter.fillRect(QRectF(0, self.height() - 3, self.width(), 3), QColor(look.way_accent))
        self._draw_wires(painter)
        self._draw_post(painter)
        self._draw_words(painter)
        if self.hasFocus():
            painter.setPen(QPen(QColor(look.way_ink), 1, Qt.PenStyle.DotLine))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(QRectF(self.rect()).adjusted(2.5, 2.5, -2.5, -4.5))
        painter.end()

    def _draw_wires(self, painter: QPainter) -> None:
        painter.setPen(QPen(QColor(self._look.way_soft), 1.2))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        top, bottom = 11.0, self.height() - 12.0
        start = 0.0 if self._state.step is not STEPS[0] else _POST_X
        end = float(self.width()) if not self._is_last else _POST_X
        for at in (top, bottom):
            path = QPainterPath(QPointF(start, at))
            if self._state.state == "wrong" and not self._is_last:
                path.lineTo(_POST_X + _POST_W, at)
                path.quadTo((_POST_X + end) / 2.0, at + (9.0 if at == top else 5.0), end, at)
            else:
                path.lineTo(end, at)
            painter.drawPath(path)

    def _draw_post(self, painter: QPainter) -> None:
        look, state = self._look, self._state.state
        colour = QColor(getattr(look, state))
        post = QRectF(_POST_X, 8.0, _POST_W, self.height() - 16.0)
        painter.save()
        if state == "wrong":
            foot = QPointF(post.center().x(), post.bottom())
            painter.translate(foot)
            painter.rotate(-7.0)
            painter.translate(-foot)
        painter.setPen(QPen(QColor(look.way if state != "nothing" else look.way_soft), 1.2))
        painter.setBrush(QColor(look.way) if state == "nothing" else colour)
        painter.drawRoundedRect(post, 1.5, 1.5)
        if state == "look":
            middle = post.center().x()
            painter.drawPolygon(QPolygonF([QPointF(middle - 8, post.top() + 5), QPointF(middle, post.top() - 5),
                                           QPointF(middle + 8, post.top() + 5)]))
        painter.restore()

    def _draw_words(self, painter: QPainter) -> None:
        look, left = self._look, _POST_X + _POST_W + 9.0
        room = self.width() - left - 2.0
        title, figure = look.font(_TITLE_PT, weight=700 if self.isChecked() else 600), look.font(_FIGURE_PT)
        high, low = QFontMetricsF(title), QFontMetricsF(figure)
        top = (self.height() - high.height() - low.height()) / 2.0
        painter.setFont(title)
        painter.setPen(QColor(look.way_ink))
        painter.drawText(QPointF(left, top + high.ascent()), self._state.step.title)
        painter.setFont(figure)
        painter.setPen(QColor(look.way_soft if self._state.state == "nothing" else look.way_ink))
        words = low.elidedText(self._state.figure, Qt.TextElideMode.ElideRight, room)
        painter.drawText(QPointF(left, top + high.height() + low.ascent()), words)


class WayBar(QWidget):
    """The run of posts along the top.

    Args:
        states: How the steps stand.
        look: The theme.
        parent: Qt parent.

    Attributes:
        chosen: Key of the step that was taken in hand.
    """

    chosen = Signal(str)

    def __init__(self, states: Sequence[StepState], look: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Steps of the work")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._look = look
        self._group = QButtonGroup(self)
        self.posts: dict[StepKey, WayPost] = {}
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        for number, state in enumerate(states):
            post = WayPost(state, look, is_last=number == len(states) - 1, parent=self)
            self._group.addButton(post, number)
            self.posts[state.step.key] = post
            row.addWidget(post)
        self._group.idClicked.connect(lambda number: self.chosen.emit(STEPS[number].key))

    def show_states(self, states: Sequence[StepState]) -> None:
        """Shows how the steps stand now."""
        for state in states:
            post = self.posts[state.step.key]
            if state != post.state:
                post.set_state(state)

    def take_in_hand(self, key: StepKey) -> None:
        """Lights a step without telling anybody."""
        self.posts[key].setChecked(True)

    def set_theme(self, look: Theme) -> None:
        """Takes other colours and sizes."""
        self._look = look
        for post in self.posts.values():
            post.set_theme(look)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """The ground of the bar."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(self._look.way))
        painter.end()
