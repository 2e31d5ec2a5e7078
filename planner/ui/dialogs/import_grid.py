"""The question of the coordinate system: what is asked, which answers are sensible, and what each would mean."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import QCompleter, QFrame, QLabel, QLineEdit, QPushButton, QVBoxLayout, QWidget

from planner.survey.fixes import Reading

LONLAT: tuple[tuple[str, str], ...] = (
    ("EPSG:4326", "WGS 84 longitude and latitude"), ("EPSG:7844", "GDA2020 longitude and latitude"),
    ("EPSG:4283", "GDA94 longitude and latitude"), ("EPSG:4167", "NZGD2000 longitude and latitude"),
    ("EPSG:4258", "ETRS89 longitude and latitude"), ("EPSG:4269", "NAD83 longitude and latitude"))
GRIDS: tuple[tuple[str, str], ...] = (
    *((f"EPSG:{7800 + zone}", f"GDA2020 / MGA zone {zone}") for zone in (55, 54, 56, 50, 51, 52, 53, 49)),
    *((f"EPSG:{28300 + zone}", f"GDA94 / MGA zone {zone}") for zone in (55, 54, 56, 50, 51, 52, 53, 49)),
    ("EPSG:2193", "NZGD2000 / New Zealand Transverse Mercator 2000"), ("EPSG:27700", "OSGB36 / British National Grid"),
    ("EPSG:2157", "IRENET95 / Irish Transverse Mercator"),
    *((f"EPSG:{6329 + zone}", f"NAD83(2011) / UTM zone {zone}N") for zone in range(10, 20)),
    *((f"EPSG:{32600 + zone}", f"WGS 84 / UTM zone {zone}N") for zone in range(1, 61)),
    *((f"EPSG:{32700 + zone}", f"WGS 84 / UTM zone {zone}S") for zone in range(1, 61)))
"""Codes and names as the EPSG data set has them; any other code may be typed."""
CONSEQUENCE = ("The numbers alone cannot tell. GDA94 and GDA2020 lie 1.5 to 1.8 m apart, and a wrong zone hundreds of "
               "kilometres: ask whoever made the file.")
DATUM_OPEN = ("The file gives a projection and leaves its datum open: lines may lie 2 m off, or 200 m where it is an "
              "old one. Say it if you know.")


def sensible(readings: Sequence[Reading], job_crs: str) -> tuple[tuple[str, str], ...]:
    """Coordinate systems that some numbers may be in, the likeliest first.

    Args:
        readings: What states none.
        job_crs: The job's grid; empty when there is none.
    """
    small = all(abs(x) <= 360.0 and abs(y) <= 90.0 for reading in readings for x, y in _some(reading))
    known = LONLAT if small else GRIDS
    first = [row for row in GRIDS if row[0] == job_crs] if not small else []
    return (*first, *(row for row in known if row not in first))


def _some(reading: Reading) -> list[tuple[float, float]]:
    found = [(float(x), float(y)) for line in reading.lines[:50] for x, y in line.xy[:5, :2]]
    return found + [(point.x, point.y) for point in reading.points[:50]]


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

    def ask(self, files: Sequence[str], rows: Sequence[tuple[str, str]], *, open_datum: bool) -> None:
        """Asks about some files.

        Args:
            files: Their names.
            rows: Sensible answers: code and name.
            open_datum: True when a projection is known and only its datum is open.
        """
        self._rows = tuple(rows)
        which = ", ".join(files[:3]) + (f" and {len(files) - 3} more" if len(files) > 3 else "")
        self.title.setText("Which datum?" if open_datum else "Which coordinate system?")
        self.words.setText(f"{which}: " + (DATUM_OPEN if open_datum else CONSEQUENCE))
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
