"""What all sheets beside the work have in common: one of a kind to a window, not in the way, closed by Escape."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

if TYPE_CHECKING:
    from planner.ui.main_window import MainWindow

_Sheet = TypeVar("_Sheet", bound="Sheet")


class Sheet(QDialog):
    """A sheet beside the work.

    Args:
        window: The window it belongs to.
    """

    title = ""
    wide, high = 720, 560

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self.window_of_work = window
        self.setWindowTitle(self.title)
        self.setAccessibleName(self.title)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        scale = window.look.scale
        self.resize(min(round(self.wide * scale), max(600, window.width() - 40)),
                    min(round(self.high * scale), max(420, window.height() - 60)))
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(18, 16, 18, 14)
        self.column.setSpacing(10)
        self.fill()
        foot = QHBoxLayout()
        foot.addStretch(1)
        self.close_button = QPushButton("Close", self)
        self.close_button.clicked.connect(self.close)
        self.close_button.setAccessibleName(f"Close {self.title}")
        foot.addWidget(self.close_button)
        self.column.addLayout(foot)

    def fill(self) -> None:
        """Puts the sheet's own widgets into ``column``."""

    @classmethod
    def show_for(cls: type[_Sheet], window: MainWindow) -> _Sheet:
        """Shows the one sheet of its kind that a window has.

        Args:
            window: The window.
        """
        found = window.findChild(cls)
        sheet = found if isinstance(found, cls) else cls(window)
        sheet.show()
        sheet.raise_()
        sheet.activateWindow()
        return sheet


def words(text: str, parent: QWidget, name: str = "") -> QLabel:
    """A label that wraps.

    Args:
        text: What it says.
        parent: Qt parent.
        name: Name for the style: title, figure or soft.
    """
    label = QLabel(text, parent)
    label.setWordWrap(True)
    label.setObjectName(name)
    return label
