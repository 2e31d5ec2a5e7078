"""A bar for the share of the work that is done, drawn with the rest of the window and never at once."""

from __future__ import annotations

from PySide6.QtWidgets import QProgressBar, QWidget

STEPS = 1000


class ShareBar(QProgressBar):
    """Shows a share. Qt's own bar draws itself, and whatever else waits to be drawn, before it goes on.

    Args:
        name: What it tells of, for those who do not see it.
        parent: Qt parent.
    """

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setTextVisible(False)
        self.setRange(0, STEPS)

    def show_share(self, share: float) -> None:
        """Shows a share; it is drawn when the window next draws.

        Args:
            share: From 0 to 1; what lies outside is taken as the nearer of the two.
        """
        self.setValue(round(max(0.0, min(1.0, share)) * STEPS))

    def setValue(self, value: int) -> None:
        """Shows a value, of a thousand, in the same way."""
        if value != self.value():
            self.setUpdatesEnabled(False)
            super().setValue(value)
            self.setUpdatesEnabled(True)
