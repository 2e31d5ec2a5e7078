"""The question of the coordinate system: what is asked, which answers are sensible, and what each would mean."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import QCompleter, QFrame, QLabel, QLineEdit, QPushButton, QVBoxLayout, QWidget

from planner.survey.fitting_systems import GRIDS, LONLAT, Row
from planner.wording import few_of

UNTOLD = "The file alone cannot tell, and a wrong zone is hundreds of kilometres off: ask whoever made it."
DATUM_OPEN = ("The file gives a projection and leaves its datum open: lines may lie 2 m off, or 200 m where it is an "
              "old one. Say it if you know.")


def offered(fitting: Sequence[Row], job_crs: str) -> tuple[Row, ...]:
    """What is offered as an answer: what fits first, the job's own grid at the head of it, then all that is known.

    Args:
        fitting: What fits the numbers; empty when that is not known.
        job_crs: The job's grid; empty when there is none.
    """
    rows = dict((*fitting, *GRIDS, *LONLAT))
    own = {job_crs: rows[job_crs]} if job_crs in rows and (not fitting or job_crs in dict(fitting)) else {}
    return tuple({**own, **rows}.items())


class GridQuestion(QFrame):
    """Asks for a coordinate system by name or code.

    Args:
        parent: Qt parent.

    Attributes:
        answered: The code that was chosen.
    """

    answered = Signal(str)

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("card")
        self.title = QLabel("Which coordinate system?", self)
        self.title.setObjectName("title")
        self.words = QLabel(self)
        self.words.setWordWrap(True)
        self.box = QLineEdit(self)
        self.box.setAccessibleName("Coordinate system by name or EPSG code")
        self.box.setPlaceholderText("name or EPSG code, such as MGA zone 55")
        self.means = QLabel(self)
        self.means.setWordWrap(True)
        self.means.setObjectName("soft")
        self.same = QPushButton(self)
        self.same.hide()
        self.same.clicked.connect(self._as_the_job)
        column = QVBoxLayout(self)
        column.setContentsMargins(12, 10, 12, 10)
        column.setSpacing(6)
        for part in (self.title, self.words, self.box, self.same, self.means):
            column.addWidget(part)
        self._rows: tuple[tuple[str, str], ...] = ()
        self._code = self._offered = ""
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(400)
        self._later.timeout.connect(self._take)
        self.box.textEdited.connect(lambda _: self._later.start())
        self.box.returnPressed.connect(self._take)
        self.destroyed.connect(self._later.stop)

    @property
    def code(self) -> str:
        """The code that was chosen; empty when none is."""
        return self._code

    def ask(self, files: Sequence[str], rows: Sequence[Row], *, open_datum: bool, told: str = "") -> None:
        """Asks about some files.

        Args:
            files: Their names.
            rows: Sensible answers: code and name.
            open_datum: True when a projection is known and only its datum is open.
            told: What the numbers may be, in words; empty when that is not known.
        """
        self._rows = tuple(rows)
        which = few_of(files)
        self.title.setText("Which datum?" if open_datum else "Which coordinate system?")
        self.words.setText(f"{which}: {DATUM_OPEN} {told}".rstrip() if open_datum else f"{which}: {told or UNTOLD}")
        completer = QCompleter([f"{name}   {code}" for code, name in rows], self)
        completer.setFilterMode(Qt.MatchFlag.MatchContains)
        completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        completer.setMaxVisibleItems(9)
        completer.activated.connect(lambda _: self._later.start(0))
        self.box.setCompleter(completer)

    def offer(self, code: str) -> None:
        """Offers the job's own grid as an answer; it is not taken for given."""
        self._offered = code
        name = next((name for known, name in self._rows if known == code), code)
        self.same.setText(f"The job's grid: {name}")
        self.same.setVisible(bool(code) and code != self._code)

    def answer(self, code: str) -> None:
        """Gives an answer."""
        name = next((name for known, name in self._rows if known == code), "")
        self.box.setText(f"{name}   {code}" if name else code)
        self._take()

    def tell(self, text: str, *, wrong: bool) -> None:
        """Says what the answer would mean, or why it cannot be used."""
        self.means.setText(text)
        self.means.setProperty("wrong", wrong)

    def close_down(self) -> None:
        """Stops waiting."""
        self._later.stop()

    def _as_the_job(self) -> None:
        self.answer(self._offered)

    def _take(self) -> None:
        self._later.stop()
        code = self.parse(self.box.text())
        if code != self._code:
            self._code = code
            self.answered.emit(code)

    def parse(self, text: str) -> str:
        """The code in what was typed or chosen; empty when there is none."""
        text = text.strip()
        for code, name in self._rows:
            if text in (code, name, f"{name}   {code}"):
                return code
        last = text.split()[-1] if text else ""
        if last.isdigit():
            return f"EPSG:{last}" if 4 <= len(last) <= 6 else ""
        if ":" in last and last.split(":")[1].isdigit():
            return last.upper()
        hits = [code for code, name in self._rows if text and text.lower() in name.lower()]
        return hits[0] if len(hits) == 1 else ""
