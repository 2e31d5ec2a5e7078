"""Pages of the job pack as they will be printed, laid out in the background, one shown at a time."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QCoreApplication, QEvent, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QImage, QKeyEvent, QPainter, QPaintEvent, QPen, QPixmap
from PySide6.QtWidgets import QDialog, QHBoxLayout, QLabel, QScrollArea, QSizePolicy, QVBoxLayout, QWidget

from planner.errors import PlannerError
from planner.ui.background import Task
from planner.ui.document import Document
from planner.ui.panels.cards import Words, button
from planner.ui.panels.combo import Combo
from planner.ui.panels.marks import Refusal
from planner.ui.theme import Theme

if TYPE_CHECKING:
    from planner.job.plan import JobPlan
    from planner.jobpack.page.form import SheetChoice
    from planner.jobpack.page.records import Page

PREVIEW_DPI, LARGE_DPI = 96.0, 130.0


class PagePreview(QWidget):
    """Shows the sheets of the job pack.

    Args:
        document: The document.
        parent: Qt parent.

    Attributes:
        said: How many pages there are, in words.
    """

    said = Signal(str)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._plan: JobPlan | None = None
        self._pages_of: object = None
        self._choice: Callable[[], SheetChoice] | None = None
        self._task: Task | None = None
        self.pages: tuple[Page, ...] = ()
        self.number = 0
        self.words, self.refusal = Words("The sheets are laid out when you ask for them."), Refusal()
        self.make = button("Lay out the sheets", self.lay_out)
        self.sheet = Combo("Sheet shown")
        self.sheet.activated.connect(lambda _: self.show_page(int(self.sheet.currentData())))
        self.picture = _Picture(self)
        self.picture.clicked.connect(self._enlarge)
        self.back = button("‹", lambda: self.show_page(self.number - 1), name="Page before")
        self.on = button("›", lambda: self.show_page(self.number + 1), name="Next page")
        self.where = QLabel()
        self.large = button("Enlarge", self._enlarge, kind="quiet")
        row = QHBoxLayout()
        row.setSpacing(8)
        for widget in (self.back, self.where, self.on):
            row.addWidget(widget)
        row.addStretch(1)
        row.addWidget(self.large)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(7)
        above: tuple[QWidget, ...] = (self.words, self.refusal, self.make, self.sheet, self.picture)
        for part in above:
            column.addWidget(part)
        column.addLayout(row)
        self._show_parts()

    def show_plan(self, plan: JobPlan | None, look: Theme, choice: Callable[[], SheetChoice]) -> None:
        """Takes the plan whose sheets are shown; those of an older one go.

        Args:
            plan: The plan.
            look: The theme.
            choice: Gives the choice of paper and units.
        """
        self._choice = choice
        self.picture.set_theme(look)
        self.refusal.set_theme(look)
        if plan is not self._plan:
            self._plan = plan
            self.forget()

    def forget(self) -> None:
        """Lets go of the pages: they are those of an older plan or another paper."""
        if self._task is not None:
            self._task.cancel()
        had = bool(self.pages)
        self.pages = ()
        self.words.say("The job has changed: lay the sheets out anew." if had else
                       "The sheets are laid out when you ask for them.")
        self._show_parts()

    def lay_out(self) -> None:
        """Lays the pages out, in the background."""
        plan, choice = self._plan, self._choice
        if plan is None or choice is None or self._task is not None:
            return
        made = choice()
        task = Task("laying out the sheets", lambda progress: pages_of(plan, made, progress), self)
        task.done.connect(lambda pages: self._take(plan, pages))
        task.failed.connect(self._failed)
        task.finished.connect(lambda: self._end(task))
        self._task = task
        self.make.setEnabled(False)
        self.refusal.say("")
        self.words.say("The sheets are being laid out …")
        self._document.working.emit(task)
        task.start()

    def show_page(self, number: int) -> None:
        """Shows a page.

        Args:
            number: Its number, from 0.
        """
        if not self.pages:
            return
        from planner.render.pdf import page_picture

        self.number = min(max(number, 0), len(self.pages) - 1)
        page = self.pages[self.number]
        ratio = self.devicePixelRatioF()
        picture = page_picture(page, dpi=PREVIEW_DPI * ratio)
        self.picture.show_picture(picture, f"Page {self.number + 1}: {page.title}")
        self.where.setText(f"{self.number + 1} of {len(self.pages)}")
        self.back.setEnabled(self.number > 0)
        self.on.setEnabled(self.number < len(self.pages) - 1)
        starts = [start for start, _ in self._sheets() if start <= self.number]
        self.sheet.show_choices([(str(start), title) for start, title in self._sheets()], str(starts[-1]))

    def close_down(self) -> None:
        """Ends background work."""
        if self._task is not None:
            self._task.cancel()
            self._task.wait()

    def _sheets(self) -> list[tuple[int, str]]:
        """Number of the first page and title of each run of pages of one title."""
        return [(number, page.title) for number, page in enumerate(self.pages)
                if number == 0 or self.pages[number - 1].title != page.title]

    def _take(self, plan: JobPlan, pages: tuple[Page, ...]) -> None:
        if plan is not self._plan:
            return
        self.pages = pages
        self.words.say("")
        self._show_parts()
        self.show_page(0)
        QTimer.singleShot(0, self, self._come_into_sight)

    def _come_into_sight(self) -> None:
        """Scrolls to the page: the button that asked is gone, and the keyboard went on to what stands below."""
        around = self.parentWidget()
        while around is not None and not isinstance(around, QScrollArea):
            around = around.parentWidget()
        if around is not None and self.pages and self.isVisible():
            QCoreApplication.sendPostedEvents(None, QEvent.Type.LayoutRequest)  # all has its place after it
            self.sheet.setFocus()
            around.ensureWidgetVisible(self.on, 0, 12)
            around.ensureWidgetVisible(self.sheet, 0, 12)

    def _failed(self, trouble: object) -> None:
        self.words.say("")
        if isinstance(trouble, PlannerError):
            self.refusal.say(str(trouble))
        else:
            self.refusal.say("The sheets cannot be shown here; write the job pack and open the PDF.")
            self._document.troubled.emit(trouble)

    def _end(self, task: Task) -> None:
        self._task = None
        self.make.setEnabled(True)
        task.deleteLater()

    def _show_parts(self) -> None:
        has = bool(self.pages)
        for widget in (self.sheet, self.picture, self.back, self.on, self.where, self.large):
            widget.setVisible(has)
        self.make.setVisible(not has)
        self.said.emit(f"{len(self.pages)} pages" if has else "")

    def _enlarge(self) -> None:
        if self.pages:
            dialog = LargePage(self.pages, self.number, self.window())
            dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
            dialog.open()


class LargePage(QDialog):
    """One page large, to be read.

    Args:
        pages: All pages.
        number: The one shown first.
        parent: Qt parent.
    """

    def __init__(self, pages: tuple[Page, ...], number: int, parent: QWidget) -> None:
        super().__init__(parent)
        self._pages, self._number = pages, number
        self.label = QLabel()
        self.label.setAlignment(Qt.AlignmentFlag.AlignCenter)
        scroll = QScrollArea(self)
        scroll.setWidget(self.label)
        scroll.setWidgetResizable(True)
        self.where = QLabel()
        row = QHBoxLayout()
        row.addWidget(button("‹ Page before", lambda: self.turn(-1)))
        row.addWidget(self.where)
        row.addWidget(button("Next page ›", lambda: self.turn(1)))
        row.addStretch(1)
        row.addWidget(button("Close", self.accept, kind="main"))
        column = QVBoxLayout(self)
        column.addWidget(scroll, 1)
        column.addLayout(row)
        self.resize(min(parent.width(), 1180), min(parent.height(), 900))
        self.turn(0)

    def turn(self, by: int) -> None:
        """Turns pages."""
        from planner.render.pdf import page_picture

        self._number = min(max(self._number + by, 0), len(self._pages) - 1)
        page, ratio = self._pages[self._number], self.devicePixelRatioF()
        picture = QPixmap.fromImage(page_picture(page, dpi=LARGE_DPI * ratio))
        picture.setDevicePixelRatio(ratio)
        self.label.setPixmap(picture)
        self.label.setAccessibleName(f"Page {self._number + 1}: {page.title}")
        self.where.setText(f"{self._number + 1} of {len(self._pages)}")
        self.setWindowTitle(f"{page.title}, page {self._number + 1}")

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Page keys and arrows turn pages."""
        by = {Qt.Key.Key_PageDown: 1, Qt.Key.Key_Right: 1, Qt.Key.Key_PageUp: -1, Qt.Key.Key_Left: -1}
        if event.key() in by:
            self.turn(by[Qt.Key(event.key())])
        else:
            super().keyPressEvent(event)


class _Picture(QWidget):
    """A page fitted to the width there is."""

    clicked = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._image: QImage | None = None
        self._look: Theme | None = None
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setToolTip("Enlarge")

    def set_theme(self, look: Theme) -> None:
        self._look = look
        self.update()

    def show_picture(self, image: QImage, name: str) -> None:
        self._image = image
        self.setAccessibleName(name)
        self.updateGeometry()
        self.update()

    def heightForWidth(self, width: int) -> int:
        if self._image is None or not self._image.width():
            return 10
        return round(width * self._image.height() / self._image.width())

    def sizeHint(self) -> QSize:
        return QSize(300, self.heightForWidth(300))

    def paintEvent(self, _: QPaintEvent) -> None:
        if self._image is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        wide = min(self.width(), round(self.height() * self._image.width() / max(self._image.height(), 1)))
        high = round(wide * self._image.height() / self._image.width())
        ratio = self.devicePixelRatioF()
        fitted = self._image.scaled(round(wide * ratio), round(high * ratio), Qt.AspectRatioMode.IgnoreAspectRatio,
                                    Qt.TransformationMode.SmoothTransformation)
        fitted.setDevicePixelRatio(ratio)
        painter.drawImage(0, 0, fitted)
        if self._look is not None:
            painter.setPen(QPen(QColor(self._look.edge), 1))
            painter.drawRect(0, 0, wide - 1, high - 1)
        painter.end()

    def mouseReleaseEvent(self, _: object) -> None:
        self.clicked.emit()


def pages_of(plan: JobPlan, choice: SheetChoice, progress: object) -> tuple[Page, ...]:
    """The pages of the job pack.

    Args:
        plan: The plan.
        choice: Paper and units.
        progress: Who waits.

    Raises:
        Cancelled: The user asked to stop.
    """
    from planner.jobpack.basis import basis_of
    from planner.jobpack.job_pack_pdf import job_pack_pages

    return job_pack_pages(basis_of(plan, choice), progress)  # type: ignore[arg-type]
