"""Keys: every key of the window on one sheet, made from the table of actions."""

from __future__ import annotations

from html import escape

from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QTextBrowser

from planner.ui.actions import ACTIONS, MENUS, keys_of
from planner.ui.dialogs.sheet import Sheet
from planner.ui.theme import Theme

OTHER_KEYS: tuple[tuple[str, str], ...] = (
    ("arrows", "move the map; further with Shift"),
    ("+  −", "enlarge the map, make it smaller"),
    ("Home", "show all of it"),
    ("Escape", "give up what is being drawn; put the tool down"),
    ("Backspace", "take back the last corner"),
    ("Enter", "end the line"),
    ("Tab  Shift+Tab", "next field, field before"),
    ("F10", "the menu"),
)


class ShortcutSheet(Sheet):
    """The sheet of keys."""

    title = "Keys"
    wide, high = 760, 640

    def fill(self) -> None:
        """Puts the keys in."""
        self.page = QTextBrowser(self)
        self.page.setAccessibleName("Every key")
        self.page.setHtml(keys_page(self.window_of_work.look))
        self.column.addWidget(self.page, 1)


def keys_page(look: Theme) -> str:
    """The keys as a page.

    Args:
        look: The theme.
    """
    parts: list[str] = []
    for menu in MENUS:
        rows = [(", ".join(QKeySequence(key).toString(QKeySequence.SequenceFormat.NativeText) for key in keys_of(row)),
                 row.text, row.tip) for row in ACTIONS if row.menu == menu and keys_of(row)]
        parts.append(_table(menu, rows, look))
    parts.append(_table("On the map", [(keys, does, "") for keys, does in OTHER_KEYS], look))
    return "".join(parts)


def _table(title: str, rows: list[tuple[str, str, str]], look: Theme) -> str:
    keys_px, text_px = round(150 * look.scale), round(190 * look.scale)
    lines = "".join(
        f'<tr><td width="{keys_px}"><b>{escape(keys)}</b></td><td width="{text_px}">{escape(text)}</td>'
        f'<td><span style="color:{look.soft_ink}">{escape(tip)}</span></td></tr>' for keys, text, tip in rows)
    return f'<h3 style="color:{look.accent}">{escape(title)}</h3><table cellspacing="0" cellpadding="3">{lines}</table>'
