"""Asks what to do with changes that are not saved."""

from __future__ import annotations

from typing import Literal

from PySide6.QtWidgets import QDialog, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget


class UnsavedDialog(QDialog):
    """The question.

    Args:
        name: Name of the job.
        what: What will happen then, as a clause.
        parent: Qt parent.

    Attributes:
        answer: save, leave or stay.
    """

    def __init__(self, name: str, what: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Not saved")
        self.answer: Literal["save", "leave", "stay"] = "stay"
        title = QLabel(f"'{name}' has changes that are not saved.", self)
        title.setObjectName("title")
        words = QLabel(f"Save them before {what}?", self)
        row = QHBoxLayout()
        row.addStretch(1)
        self.buttons: dict[str, QPushButton] = {}
        for answer, text in (("stay", "Stay here"), ("leave", "Give them up"), ("save", "Save")):
            button = QPushButton(text, self)
            button.clicked.connect(lambda _=False, answer=answer: self._take(answer))
            self.buttons[answer] = button
            row.addWidget(button)
        self.buttons["save"].setObjectName("main")
        self.buttons["save"].setDefault(True)
        column = QVBoxLayout(self)
        column.setContentsMargins(20, 18, 20, 16)
        column.setSpacing(10)
        column.addWidget(title)
        column.addWidget(words)
        column.addSpacing(6)
        column.addLayout(row)

    def _take(self, answer: Literal["save", "leave", "stay"]) -> None:
        self.answer = answer
        self.done(int(answer != "stay"))


def ask_unsaved(name: str, what: str, parent: QWidget) -> Literal["save", "leave", "stay"]:
    """Asks, and waits for the answer.

    Args:
        name: Name of the job.
        what: What will happen then, as a clause.
        parent: The window.
    """
    dialog = UnsavedDialog(name, what, parent)
    dialog.exec()
    dialog.deleteLater()
    return dialog.answer
