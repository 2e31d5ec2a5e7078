"""Asks for the working grid of an empty job, and says back which one was typed."""

from __future__ import annotations

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QLabel, QLineEdit, QPushButton, QVBoxLayout, QWidget

from planner.errors import PlannerError


class GridDialog(QDialog):
    """Asks for a coordinate system in metres.

    Args:
        suggested: Code to begin with.
        parent: Qt parent.
    """

    def __init__(self, suggested: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Working grid")
        self.code = QLineEdit(suggested, self)
        self.code.setAccessibleName("Code of the working grid")
        self.words = QLabel(self)
        self.words.setWordWrap(True)
        self.words.setAccessibleName("Name of that grid")
        self.words.setMinimumHeight(44)
        asks = QLabel("In which grid shall the job be measured? Give its EPSG code, such as EPSG:7855 for GDA2020 / "
                      "MGA zone 55 or EPSG:2193 for NZGD2000 / NZTM. Any grid in metres that keeps angles will do.",
                      self)
        asks.setWordWrap(True)
        asks.setMinimumWidth(440)
        buttons = QDialogButtonBox(self)
        self.start = QPushButton("Start", self)
        self.start.setObjectName("main")
        buttons.addButton(self.start, QDialogButtonBox.ButtonRole.AcceptRole)
        buttons.addButton("Go back", QDialogButtonBox.ButtonRole.RejectRole)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.setContentsMargins(20, 18, 20, 16)
        column.setSpacing(10)
        for widget in (asks, self.code, self.words, buttons):
            column.addWidget(widget)
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(150)
        self._later.timeout.connect(self._say)
        self.code.textChanged.connect(lambda _: self._wait())
        self._say()

    @property
    def crs(self) -> str:
        """The grid that was typed, as a code or WKT."""
        from planner.survey.datum import to_code

        return to_code(self.code.text().strip())

    def accept(self) -> None:
        """Takes the grid where it can serve."""
        self._say()
        if self.start.isEnabled():
            super().accept()

    def _wait(self) -> None:
        self.start.setEnabled(False)
        self._later.start()

    def _say(self) -> None:
        from planner.survey.datum import grid_name, usable_as_grid

        self._later.stop()
        text = self.code.text().strip()
        try:
            trouble = usable_as_grid(text) if text else "no grid is typed yet"
            words = trouble or grid_name(text)
        except PlannerError as error:
            trouble = words = str(error)
        self.words.setText(words[:1].upper() + words[1:])
        self.start.setEnabled(not trouble)
