"""Takes the pictures of the window: ``python tests/take_pictures.py FOLDER [NAME...]``.

First start, the sample job whole, a section in hand, the import with troubles, materials, and drawing with live
read-outs; light and dark, at 1280 x 800 and 1920 x 1080, without a display. Named pictures alone when names are given:
``section-dark-1920``. With ``--steps`` every step's panel and every sheet is taken as well, with ``--text 150`` at that
size of text, with ``--contrast`` in high contrast, with ``--scale 2`` for a screen of twice the dots, with ``--job
FILE`` of that job.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
SIZES = {"1280": (1280, 800), "1920": (1920, 1080)}


def main() -> int:
    words = argparse.ArgumentParser(description="Takes the pictures of the window.")
    words.add_argument("folder", type=Path)
    words.add_argument("names", nargs="*")
    words.add_argument("--steps", action="store_true")
    words.add_argument("--contrast", action="store_true")
    words.add_argument("--text", type=int, default=100)
    words.add_argument("--scale", default="1")
    words.add_argument("--job", type=Path, default=None, help="a job in place of the sample")
    words.add_argument("--size", default="", help="one size, as 1280x720, in place of both")
    asked = words.parse_intermixed_args()
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    os.environ["QT_SCALE_FACTOR"] = asked.scale
    asked.folder.mkdir(parents=True, exist_ok=True)
    from PySide6.QtWidgets import QApplication

    from planner.ui.app import name_application

    application = QApplication(["strainwright"])
    name_application(application)
    sizes = dict(SIZES)
    if asked.size:
        width, _, height = asked.size.partition("x")
        sizes = {asked.size: (int(width), int(height))}
    for colours in ("contrast",) if asked.contrast else ("light", "dark"):
        for size, (width, height) in sizes.items():
            Session(asked, colours, size, width, height).take()
    return 0


class Session:
    """One window, from its first page to its last tool."""

    def __init__(self, asked: argparse.Namespace, colours: str, size: str, width: int, height: int) -> None:
        from PySide6.QtCore import QSettings

        from planner.ui.main_window import MainWindow
        from planner.ui.preferences import Preferences

        self.asked, self.suffix = asked, f"{colours}-{size}"
        self.own = Path(tempfile.mkdtemp(prefix="strainwright-pictures-"))
        preferences = Preferences(QSettings(str(self.own / "likes.ini"), QSettings.Format.IniFormat))
        preferences.choose("theme", colours)
        preferences.choose("text_percent", asked.text)
        self.window = MainWindow(preferences, self.own)
        self.window.desk.ask_unsaved = lambda name, what: "leave"
        self.window.resize(width, height)
        self.window.show()
        self.let(lambda: False, 0.2)

    def take(self) -> None:
        window = self.window
        self.keep("first-start")
        window.desk.open_sample() if self.asked.job is None else window.desk.open(self.asked.job)
        self.let(lambda: window.has_job and window.document.plan is not None)
        self.settle()
        self.keep("sample-job")
        pictures: dict[str, Callable[[], None]] = {
            "section": self.section, "materials": self.materials, "drawing": self.drawing, "import": self.bring_in}
        if self.asked.steps:
            from planner.ui.way_state import STEPS

            for step in STEPS:
                pictures[f"step-{step.key}"] = lambda key=step.key: window.take_step(key)  # type: ignore[misc]
            for action in ("settings", "terms", "options", "before", "records", "guide", "shortcuts", "messages",
                           "about"):
                pictures[f"sheet-{action}"] = lambda action=action: self.sheet(action)  # type: ignore[misc]
        for name, make in pictures.items():
            if self.is_wanted(name):
                make()
                self.settle()
                self.keep(name)
                self.put_back()
        window.close()
        window.deleteLater()

    def section(self) -> None:
        from planner.ui.document import Selection

        self.window.take_step("sections")
        plan = self.window.document.plan
        assert plan is not None
        line = plan.lines[0]
        section = next(s for s in line.sections if len(line.joins[s.id].joins) > 1) if any(
            s.id in line.joins and len(line.joins[s.id].joins) > 1 for s in line.sections) else line.sections[5]
        self.window.document.select(Selection(line.line.name, section.id))
        if self.window.work is not None:
            self.window.work.map.show_stretch(line.line.name, section.from_m, section.to_m)
        self.window.document.point_at(line.line.name, 0.7 * section.from_m + 0.3 * section.to_m)

    def materials(self) -> None:
        self.window.take_step("materials")

    def drawing(self) -> None:
        from PySide6.QtCore import QPoint, Qt
        from PySide6.QtTest import QTest

        window = self.window
        window.take_step("line")
        window.actions_table["tool_draw"].trigger()
        work = window.work
        assert work is not None
        wide, high = work.canvas.width(), work.canvas.height()
        for x, y in ((0.42, 0.68), (0.55, 0.5)):
            QTest.mouseMove(work.canvas, QPoint(round(wide * x), round(high * y)))
            QTest.mouseClick(work.canvas, Qt.MouseButton.LeftButton, pos=QPoint(round(wide * x), round(high * y)))
        QTest.mouseMove(work.canvas, QPoint(round(wide * 0.7), round(high * 0.42)))

    def bring_in(self) -> None:
        """A table of points with rows that cannot be used, and a track."""
        from importlib.util import find_spec

        if find_spec("planner.ui.dialogs.import_dialog") is None:
            return
        from planner.shipped import sample_data
        from planner.ui.dialogs.import_dialog import ImportDialog

        bad = self.own / "walked-points.csv"
        bad.write_text("name,east,north,level,code,width\n1,455300.0,5951700.0,233.1,ground,\n2,455320.0,north,234.0,ground,\n"
                       "3,455340.0,5951720.0,,gate,4.2\n4,99.0,5951730.0,235.2,ground,\n5,,5951740.0,235.9,ground,\n"
                       "6,455400.0,5951760.0,236.4,ground,\n", encoding="utf-8")
        dialog = ImportDialog(self.window.document, [bad, sample_data() / "division-walk.gpx"],
                              self.window.preferences.text("fence"), self.window)
        dialog.show()
        self.let(lambda: False, 3.0)
        self.write("import-points", dialog)
        dialog.page_buttons[2].click()
        self.let(lambda: False, 0.5)
        self.write("import", dialog)
        dialog.reject()
        dialog.deleteLater()

    def sheet(self, action: str) -> None:
        from planner.ui.dialogs.sheet import Sheet

        self.window.actions_table[action].trigger()
        self.let(lambda: False, 0.3)
        sheet = next(own for own in self.window.findChildren(Sheet) if own.isVisible())
        self.write(f"sheet-{action}", sheet)
        sheet.close()

    def put_back(self) -> None:
        from planner.ui.document import Selection

        if self.window.work is not None and self.window.work.tools.in_hand:
            self.window.work.tools.take("")
        self.window.document.select(Selection())
        self.window.document.point_at("", 0.0)
        if self.window.work is not None:
            self.window.work.map.show_all()

    def settle(self) -> None:
        from PySide6.QtWidgets import QApplication

        work = self.window.work
        self.window.document.wait_for_plan()
        self.let(lambda: work is None or (work.map.is_idle and work.canvas.is_settled and work.strip.is_settled))
        self.let(lambda: work is None or not getattr(work.panels.pages.get("jobpack"), "is_looking_up", False))
        self.let(lambda: False, 0.6)
        for _ in range(40):  # on a slow machine the time may be over before what was laid out is laid out again
            QApplication.processEvents()

    def let(self, until: Callable[[], bool], seconds: float = 60.0) -> None:
        from PySide6.QtWidgets import QApplication

        end = time.monotonic() + seconds
        while time.monotonic() < end and not until():
            QApplication.processEvents()
            time.sleep(0.002)

    def is_wanted(self, name: str) -> bool:
        return not self.asked.names or any(wanted in f"{name}-{self.suffix}" for wanted in self.asked.names)

    def keep(self, name: str) -> None:
        if name != "import" and not name.startswith("sheet-") and self.is_wanted(name):
            self.write(name, self.window)

    def write(self, name: str, widget: object) -> None:
        from PySide6.QtWidgets import QWidget

        assert isinstance(widget, QWidget)
        target = self.asked.folder / f"{name}-{self.suffix}.png"
        widget.grab().save(str(target))
        print(target)


if __name__ == "__main__":
    sys.exit(main())
