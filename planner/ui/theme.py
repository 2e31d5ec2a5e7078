"""How the window looks: one table of colours for each theme, one style sheet made from it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from PySide6.QtGui import QColor, QFont, QPalette

from planner.render.fonts import load_fonts
from planner.shipped import resources
from planner.ui.canvas.colours import CONTRAST, DARK, LIGHT, MapColours

ThemeName = Literal["light", "dark", "contrast"]


@dataclass(frozen=True)
class Theme:
    """Colours and sizes of the window.

    Attributes:
        name: light, dark or contrast.
        map: Colours of map and strip.
        paper: Ground of the window.
        card: Ground of panels and fields.
        edge: Outline of cards and fields.
        ink: Text.
        soft_ink: Secondary text.
        accent: What is in hand.
        on_accent: Text on it.
        accent_soft: Ground of a chosen row.
        way: Ground of the way bar.
        way_in_hand: Ground of the step in hand.
        way_ink: Text on it.
        way_soft: Secondary text and wires on it.
        way_accent: What is in hand, on the ground of the way bar.
        nothing: State of a step: nothing yet.
        fine: State of a step: fine.
        look: State of a step: something to look at.
        wrong: State of a step: wrong.
        wrong_ink: Text that tells what is wrong, on cards and on the ground of the window.
        scale: Size of text; 1 is normal.
    """

    name: ThemeName
    map: MapColours
    paper: str
    card: str
    edge: str
    ink: str
    soft_ink: str
    accent: str
    on_accent: str
    accent_soft: str
    way: str
    way_in_hand: str
    way_ink: str
    way_soft: str
    way_accent: str
    nothing: str
    fine: str
    look: str
    wrong: str
    wrong_ink: str
    scale: float = 1.0

    def font(self, points: float = 10.0, *, weight: int = 400) -> QFont:
        """The program's font at a size that follows the text setting.

        Args:
            points: Size at normal text. [pt]
            weight: 400 regular, 600 semibold, 700 bold.
        """
        font = QFont(load_fonts())
        font.setPointSizeF(points * self.scale)
        font.setWeight(QFont.Weight(weight))
        return font


_TABLE: dict[ThemeName, dict[str, object]] = {
    "light": {"map": LIGHT, "paper": "#f4efe4", "card": "#fbfaf4", "edge": "#dcd5c2", "ink": "#22302a",
              "soft_ink": "#6a6a5c", "accent": "#b0590d", "on_accent": "#ffffff", "accent_soft": "#f6dfbd",
              "way": "#2b3831", "way_in_hand": "#3a4a41", "way_ink": "#f4f0e4", "way_soft": "#b7c1b6",
              "way_accent": "#e58a34",
              "nothing": "#6a766e", "fine": "#7fb28c", "look": "#e0a63c", "wrong": "#d2604a", "wrong_ink": "#a83d28"},
    "dark": {"map": DARK, "paper": "#161b19", "card": "#1f2724", "edge": "#3a4540", "ink": "#ece8db",
             "soft_ink": "#a6aea6", "accent": "#f0a246", "on_accent": "#1d2421", "accent_soft": "#4a3a22",
             "way": "#0f1412", "way_in_hand": "#26312c", "way_ink": "#ece8db", "way_soft": "#97a39a",
             "way_accent": "#f0a246",
             "nothing": "#5a655f", "fine": "#86bd9c", "look": "#f0b95a", "wrong": "#ee8570",
             "wrong_ink": "#f29280"},
    "contrast": {"map": CONTRAST, "paper": "#ffffff", "card": "#ffffff", "edge": "#000000", "ink": "#000000",
                 "soft_ink": "#2a2a2a", "accent": "#8f3500", "on_accent": "#ffffff", "accent_soft": "#ffd9a8",
                 "way": "#000000", "way_in_hand": "#2c2c2c", "way_ink": "#ffffff", "way_soft": "#e0e0e0",
                 "way_accent": "#ffc94d",
                 "nothing": "#8c8c8c", "fine": "#7fd69a", "look": "#ffc94d", "wrong": "#ff8a73",
                 "wrong_ink": "#8f1a00"},
}


def theme(name: ThemeName = "light", *, scale: float = 1.0) -> Theme:
    """A theme by name.

    Args:
        name: light, dark or contrast.
        scale: Size of text; 1 is normal.
    """
    return Theme(name=name, scale=scale, **_TABLE[name])  # type: ignore[arg-type]


def palette_of(look: Theme) -> QPalette:
    """Colours for what Qt draws by itself: ticks, the ground of their boxes, placeholders, links.

    Args:
        look: The theme.
    """
    roles = QPalette.ColorRole
    table = {roles.Window: look.paper, roles.WindowText: look.ink, roles.Base: look.card, roles.Text: look.ink,
             roles.AlternateBase: look.paper, roles.Button: look.card, roles.ButtonText: look.ink,
             roles.PlaceholderText: look.soft_ink, roles.Highlight: look.accent, roles.HighlightedText: look.on_accent,
             roles.Accent: look.accent, roles.Link: look.accent, roles.LinkVisited: look.accent,
             roles.ToolTipBase: look.way, roles.ToolTipText: look.way_ink}
    palette = QPalette(QColor(look.card), QColor(look.paper))
    for role, colour in table.items():
        palette.setColor(role, QColor(colour))
    for role in (roles.WindowText, roles.Text, roles.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, role, QColor(look.soft_ink))
    return palette


def style_sheet(look: Theme) -> str:
    """The style of every widget, made from a theme.

    Args:
        look: The theme.
    """
    return "".join(part(look) for part in (_plain, _fields, _tables, _ticks, _bars))


def _mark(name: str, look: Theme) -> str:
    return (resources() / "marks" / f"{name}-{look.name}.svg").as_posix()


def _plain(look: Theme) -> str:
    size = 10.0 * look.scale
    return f"""
    * {{ font-family: "{load_fonts()}"; font-size: {size:.1f}pt; color: {look.ink}; }}
    QMainWindow, QDialog, QWidget#page {{ background: {look.paper}; }}
    QFrame#card {{ background: {look.card}; border: 1px solid {look.edge}; border-radius: 4px; }}
    QLabel {{ background: transparent; }}
    QLabel#title {{ font-size: {size * 1.12:.1f}pt; font-weight: 600; }}
    QLabel#figure {{ font-weight: 600; }}
    QLabel#soft, QLabel#small {{ color: {look.soft_ink}; }}
    QLabel#small {{ font-size: {size * 0.86:.1f}pt; }}
    QPushButton {{ background: {look.card}; border: 1px solid {look.edge}; border-radius: 4px;
        padding: {3 * look.scale:.0f}px {10 * look.scale:.0f}px; }}
    QPushButton:hover {{ border-color: {look.accent}; }}
    QPushButton:focus {{ border: 2px solid {look.accent}; }}
    QPushButton:checked, QPushButton#main {{ background: {look.accent}; color: {look.on_accent};
        border-color: {look.accent}; }}
    QPushButton#quiet {{ color: {look.accent}; }}
    QPushButton:disabled, QPushButton#main:disabled, QPushButton#quiet:disabled {{
        color: {look.soft_ink}; border-color: {look.edge}; background: {look.paper}; }}
    """


def _fields(look: Theme) -> str:
    return f"""
    QLineEdit, QComboBox, QSpinBox, QDoubleSpinBox, QPlainTextEdit, QTextBrowser, QListWidget {{
        background: {look.card}; border: 1px solid {look.edge}; border-radius: 3px; padding: 2px 5px;
        selection-background-color: {look.accent}; selection-color: {look.on_accent}; }}
    QLineEdit, QPlainTextEdit {{ placeholder-text-color: {look.soft_ink}; }}
    QLineEdit:focus, QComboBox:focus, QSpinBox:focus, QDoubleSpinBox:focus, QPlainTextEdit:focus {{
        border: 2px solid {look.accent}; }}
    QComboBox::drop-down {{ border: 0; width: {20 * look.scale:.0f}px; }}
    QSpinBox::up-button, QSpinBox::down-button, QDoubleSpinBox::up-button, QDoubleSpinBox::down-button {{
        border: 0; background: transparent; width: {20 * look.scale:.0f}px; }}
    QComboBox::down-arrow, QSpinBox::down-arrow, QDoubleSpinBox::down-arrow {{ image: url("{_mark("down", look)}");
        width: {10 * look.scale:.0f}px; height: {10 * look.scale:.0f}px; }}
    QSpinBox::up-arrow, QDoubleSpinBox::up-arrow {{ image: url("{_mark("up", look)}");
        width: {10 * look.scale:.0f}px; height: {10 * look.scale:.0f}px; }}
    QComboBox QAbstractItemView {{ background: {look.card}; selection-background-color: {look.accent_soft};
        selection-color: {look.ink}; }}
    """


def _tables(look: Theme) -> str:
    return f"""
    QTableView, QTreeView {{ background: {look.card}; border: 0; gridline-color: {look.edge};
        alternate-background-color: {look.paper}; selection-background-color: {look.accent_soft};
        selection-color: {look.ink}; }}
    QTableWidget::item {{ padding: 2px 5px; }}
    QHeaderView {{ background: {look.card}; }}
    QHeaderView::section {{ background: {look.card}; color: {look.soft_ink}; border: 0;
        border-bottom: 1px solid {look.edge}; padding: 3px 8px; }}
    """


def _ticks(look: Theme) -> str:
    return f"""
    QCheckBox::indicator, QTableView::indicator, QListWidget::indicator {{ width: {13 * look.scale:.0f}px;
        height: {13 * look.scale:.0f}px; border: 1px solid {look.soft_ink}; border-radius: 2px;
        background: {look.card}; }}
    QCheckBox::indicator:hover, QCheckBox::indicator:focus {{ border-color: {look.accent}; }}
    QCheckBox::indicator:checked, QTableView::indicator:checked, QListWidget::indicator:checked {{
        image: url("{_mark("tick", look)}"); }}
    QCheckBox::indicator:disabled {{ border-color: {look.edge}; background: {look.paper}; }}
    QCheckBox:disabled {{ color: {look.soft_ink}; }}
    """


def _bars(look: Theme) -> str:
    return f"""
    QScrollArea, QScrollArea > QWidget > QWidget {{ background: transparent; border: 0; }}
    QScrollBar:vertical {{ background: transparent; width: 10px; }}
    QScrollBar:horizontal {{ background: transparent; height: 10px; }}
    QScrollBar::handle {{ background: {look.edge}; border-radius: 4px; min-height: 24px; min-width: 24px; }}
    QScrollBar::add-line, QScrollBar::sub-line {{ width: 0; height: 0; }}
    QMenuBar, QMenu {{ background: {look.card}; }}
    QMenuBar::item {{ background: transparent; padding: 3px 8px; }}
    QMenuBar::item:selected, QMenu::item:selected {{ background: {look.accent_soft}; }}
    QMenu {{ border: 1px solid {look.edge}; }}
    QToolTip {{ background: {look.way}; color: {look.way_ink}; border: 0; padding: 4px; }}
    QProgressBar {{ background: {look.edge}; border: 0; border-radius: 3px; height: 8px; text-align: center; }}
    QProgressBar::chunk {{ background: {look.fine}; border-radius: 3px; }}
    QSplitter::handle {{ background: transparent; }}
    """
