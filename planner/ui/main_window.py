"""The window: head, messages, first page or work page, foot line; joins what the actions do to whoever does it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, cast

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent, QKeyEvent
from PySide6.QtWidgets import QApplication, QDialog, QLabel, QMainWindow, QStackedWidget, QVBoxLayout, QWidget

from planner.errors import PlannerError
from planner.ui.actions import Actions, Condition
from planner.ui.crash_report import CrashReports
from planner.ui.document import Document
from planner.ui.first_start import FirstStart
from planner.ui.foot_line import FootLine
from planner.ui.foot_writer import FootWriter
from planner.ui.job_desk import JobDesk
from planner.ui.menus import Head
from planner.ui.messages import Messages, MessageStrip
from planner.ui.preferences import Preferences
from planner.ui.theme import palette_of, style_sheet
from planner.ui.way_bar import WayBar
from planner.ui.way_state import StepKey, way_states
from planner.ui.window_actions import deeds

if TYPE_CHECKING:
    from planner.job.job import Job
    from planner.job.plan import JobPlan
    from planner.ui.work_page import WorkPage

LEAST_WIDTH, LEAST_HEIGHT = 1000, 620
AHEAD_MS, LATER_MS = 15, 2500
"""Pause between two things made ahead; and after which it begins when a job is opened at once. [ms]"""


class MainWindow(QMainWindow):
    """The window.

    Args:
        preferences: What a person likes.
        folder: The program's own folder, for journals and reports.
    """

    def __init__(self, preferences: Preferences, folder: Path) -> None:
        super().__init__()
        self.preferences = preferences
        self.look, self.measures = preferences.look(), preferences.measures()
        self.step: StepKey = "sections"
        self._packed: tuple[Job, str] | None = None
        self.work: WorkPage | None = None
        self.document = Document(self)
        self.messages = Messages(self)
        self.crash_reports = CrashReports(folder, self)
        self.desk = JobDesk(self.document, self.messages, preferences, folder, self)
        self.actions_table = Actions(self, deeds(self))
        self.setMinimumSize(LEAST_WIDTH, LEAST_HEIGHT)
        self.setAcceptDrops(True)
        self._build()
        self._join()
        self._dress()
        self._refresh()

    # building

    def _build(self) -> None:
        self.way = WayBar(way_states(self.document.job, None, self.measures), self.look, self)
        self.head = Head(self.actions_table, self.way, self.preferences.recent, self.desk.open, self.look, self)
        self.strip_of_messages = MessageStrip(self.messages, self.look, self)
        self.first = FirstStart(self.look, self)
        self.waiting = QLabel(self)
        self.waiting.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.pages = QStackedWidget(self)
        self.pages.addWidget(self.first)
        self.pages.addWidget(self.waiting)
        self.foot = FootLine(self.look, self)
        self.foot_writer = FootWriter(self.foot, self.document, self.preferences, self.desk.holding)
        whole = QWidget(self)
        whole.setObjectName("page")
        column = QVBoxLayout(whole)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.head)
        column.addWidget(self.pages, 1)
        column.addWidget(self.foot)
        self.setCentralWidget(whole)
        self.strip_of_messages.setParent(whole)
        self.strip_of_messages.lie_over(self.pages)

    def _join(self) -> None:
        document, desk = self.document, self.desk
        document.job_changed.connect(lambda _: self._refresh())
        document.plan_changed.connect(lambda _: self._refresh())
        document.saved_changed.connect(self._refresh)
        document.troubled.connect(self.take_trouble)
        document.working.connect(self.foot_writer.watch)
        desk.working.connect(self.foot_writer.watch)
        desk.warm.connect(self._make_ahead)
        desk.opened.connect(self.show_work)
        desk.closed.connect(self.show_first)
        desk.opening_failed.connect(self._stay_or_first)
        desk.holding.changed.connect(self._refresh)
        desk.fault.connect(self.take_trouble)
        self.way.chosen.connect(lambda key: self.take_step(cast("StepKey", key)))
        self.first.door.connect(self._through_door)
        self.first.chosen.connect(desk.open)
        self.preferences.changed.connect(self._preference_changed)
        self.crash_reports.written.connect(self._reported)

    # starting

    def take_size(self) -> None:
        """Takes the size and place of the last run, or at the first one a size that suits the screen."""
        kept = self.preferences.kept_bytes("geometry")
        if not kept.isEmpty() and self.restoreGeometry(kept):
            return
        room = self.screen().availableGeometry()
        self.resize(min(1480, round(room.width() * 0.94)), min(940, round(room.height() * 0.92)))
        self.move(room.center() - self.rect().center())

    def begin(self, path: Path | None = None) -> None:
        """What follows the first paint: the job that was named, what a bad end left, and the engine loaded."""
        self.first.show_recent(self.preferences.recent())
        if path is not None:
            self.waiting.setText(f"Opening {path.name} …")
            self.pages.setCurrentWidget(self.waiting)
            self.desk.open(path)
            QTimer.singleShot(LATER_MS, self, self._make_ahead)
        else:
            self.desk.warm_up()
        for left in self.desk.journal.left_behind(self.preferences.recent())[:2]:
            if left.job_path is None or left.job_path != (path.resolve() if path is not None else None):
                self.desk.offer_left(left)

    # pages and steps

    def show_work(self, *_: object) -> None:
        """Brings up the work page."""
        if self.work is None:
            self.work = self._make_work()
        self.work.map.fit_next()
        self.take_step(self.step)
        self.pages.setCurrentWidget(self.work)
        self.foot.show_hint("")
        self.foot_writer.write_scale()
        self.work.canvas.setFocus()
        self._refresh()

    def _make_work(self) -> WorkPage:
        from planner.ui.work_page import WorkPage

        work = WorkPage(self.document, self.actions_table, self.look, self.measures, self.pages)
        work.restore(self.preferences.kept_bytes("left"), self.preferences.kept_bytes("whole"))
        work.map.working.connect(self.foot_writer.watch)
        work.map.troubled.connect(self.take_trouble)
        self.foot_writer.follow(work.canvas)
        work.tools.hinted.connect(self.foot.show_hint)
        work.tools.troubled.connect(self.take_trouble)
        work.packed.connect(self._note_pack)
        self.pages.addWidget(work)
        work.map.take_up()
        return work

    def _make_ahead(self) -> None:
        """Makes the work page and its panels while a person looks at something else, a piece at a time."""
        if self.work is None:
            self.work = self._make_work()
        elif not self.work.panels.make_next():
            return
        QTimer.singleShot(AHEAD_MS, self, self._make_ahead)

    def show_first(self) -> None:
        """Brings up the first page; the tool that was in hand is put down with the job."""
        if self.work is not None:
            self.work.take_tool("")
        self.first.show_recent(self.preferences.recent())
        self.pages.setCurrentWidget(self.first)
        self._refresh()

    def take_step(self, key: StepKey) -> None:
        """Takes a step in hand: its panel comes up, its things light up on map and strip."""
        self.step = key
        self.way.take_in_hand(key)
        if self.work is not None:
            self.work.take_step(key)

    @property
    def has_job(self) -> bool:
        """True while a job is on the work page."""
        return self.work is not None and self.pages.currentWidget() is self.work

    def areas(self) -> list[QWidget]:
        """The parts of the window that F6 goes round, in order."""
        parts: list[QWidget] = [self.way.posts[self.step]]
        if self.has_job and self.work is not None:
            parts += self.work.areas()
        else:
            parts.append(self.first.doors[0])
        return [*parts, self.head.menu_button]

    def go_round(self, step: int) -> None:
        """Takes the keyboard to the next part of the window, or to the one before."""
        areas, focus = self.areas(), QApplication.focusWidget()
        inside = next((i for i, area in enumerate(areas)
                       if focus is not None and (area is focus or area.isAncestorOf(focus))), -1 if step > 0 else 0)
        target = areas[(inside + step) % len(areas)]
        (target if target.focusPolicy() != Qt.FocusPolicy.NoFocus else _first_inside(target)).setFocus(
            Qt.FocusReason.TabFocusReason)

    # keeping up

    def _refresh(self) -> None:
        job, document = self.document.job, self.document
        plan: JobPlan | None = document.plan
        if self.has_job:
            self.way.show_states(way_states(job, plan, self.measures, pack_written=self._pack_words()))
            self.setWindowTitle(f"{job.name}[*]")
            self.foot_writer.write_saved()
            self.foot_writer.write_grid()
        else:
            self.way.show_states(way_states(type(job)("", ""), None, self.measures))
            self.setWindowTitle("Strainwright[*]")
            self.foot.show_saved("", is_saved=True)
            self.foot.show_place("", "", "")
            self.foot.show_scale("")
            self.foot.show_hint("Files may be dropped on the window. F1 opens the guide.")
        self.way.setEnabled(self.has_job)
        self.setWindowModified(self.has_job and not document.is_saved)
        self.actions_table.meet(Condition(self.has_job, self.has_job and bool(job.lines), plan is not None,
                                          document.history.can_undo if self.has_job else "",
                                          document.history.can_redo if self.has_job else ""))

    def _note_pack(self, folder: Path) -> None:
        self._packed = (self.document.job, datetime.now().strftime("%H:%M"))
        self.messages.done(f"The job pack stands in {folder}")
        self._refresh()

    def _pack_words(self) -> str:
        return f"written {self._packed[1]}" if self._packed is not None and self._packed[0] is self.document.job else ""

    def take_trouble(self, trouble: object) -> None:
        """Shows an expected failure; anything else is a bug."""
        if isinstance(trouble, PlannerError):
            self.messages.trouble(trouble)
        elif isinstance(trouble, BaseException):
            self.crash_reports.report(trouble)

    def _reported(self, path: Path | None) -> None:
        kept = not self.document.is_saved and self.desk.journal.flush()
        where = f"the report is {path}" if path is not None else "no report could be written"
        self.messages.bug("A fault in the program stopped what was being done; the job is as it was before it"
                          + (", and every edit of it stands in its journal" if kept else ""),
                          f"please send the report, which holds nothing of the job: {where}" if path else where)

    def _stay_or_first(self, _: object) -> None:
        if self.pages.currentWidget() is self.waiting:
            self.show_first()

    def _through_door(self, key: str) -> None:
        doors: dict[str, Callable[[], object]] = {
            "sample": self.desk.open_sample, "file": self.desk.start_from_file, "blank": self.desk.open_blank}
        doors[key]()

    # looks

    def _dress(self) -> None:
        application = cast("QApplication", QApplication.instance())
        application.setPalette(palette_of(self.look))
        application.setStyleSheet(style_sheet(self.look))

    def _preference_changed(self, name: str) -> None:
        if name in ("theme", "text_percent"):
            self.look = self.preferences.look()
            self._dress()
            for part in (self.head, self.way, self.first, self.foot, self.strip_of_messages, self.work):
                if part is not None:
                    part.set_theme(self.look)
        elif name in ("units", "coordinates"):
            self.measures = self.preferences.measures()
            if self.work is not None:
                self.work.set_measures(self.measures)
            self.foot_writer.write_scale()
            self._refresh()

    # keys, files dropped, window closed

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Gives an Escape that nothing else took to the tool in hand, wherever the keyboard is."""
        tool = self.work.tools.tool if self.work is not None and self.has_job else None
        if tool is None or event.key() != Qt.Key.Key_Escape or not tool.key_press(event):
            super().keyPressEvent(event)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Takes files."""
        if any(url.isLocalFile() for url in event.mimeData().urls()):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Opens a job that was dropped; any other files go to the import."""
        paths = [Path(url.toLocalFile()) for url in event.mimeData().urls() if url.isLocalFile()]
        event.acceptProposedAction()
        QTimer.singleShot(0, self, lambda: self.desk.take_files(paths))

    def closeEvent(self, event: QCloseEvent) -> None:
        """Asks about unsaved changes, keeps the window's sizes, and ends background work."""
        if self.has_job and not self.desk.may_leave("closing the window"):
            event.ignore()
            return
        self.preferences.keep_bytes("geometry", self.saveGeometry())
        if self.work is not None:
            left, whole = self.work.sizes()
            self.preferences.keep_bytes("left", left)
            self.preferences.keep_bytes("whole", whole)
            self.work.close_down()
        for sheet in self.findChildren(QDialog):
            sheet.close()
        self.preferences.flush()
        self.desk.close()
        self.foot_writer.close()
        self.document.close()
        self.crash_reports.remove()
        event.accept()


def _first_inside(area: QWidget) -> QWidget:
    """The first widget of an area that takes the keyboard; the area itself where none does."""
    following = area.nextInFocusChain()
    while following is not None and following is not area:
        if area.isAncestorOf(following) and following.isVisible() and following.focusPolicy() & Qt.FocusPolicy.TabFocus:
            return following
        following = following.nextInFocusChain()
    return area
