"""The panel at the right: one page a step, made when its step is first taken in hand."""

from __future__ import annotations

import importlib
from collections.abc import Callable, Mapping
from importlib.util import find_spec
from typing import Protocol, cast

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QLabel, QScrollArea, QSizePolicy, QStackedWidget, QVBoxLayout, QWidget

from planner.ui.document import Document
from planner.ui.measures import Measures
from planner.ui.theme import Theme
from planner.ui.way_state import STEPS, StepKey

LEAST_WIDTH = 340


class Panel(Protocol):
    """What every panel does besides being a widget."""

    def set_theme(self, look: Theme) -> None:
        """Takes other colours and sizes."""


_PANELS: Mapping[StepKey, tuple[str, str]] = {
    "survey": ("survey", "SurveyPanel"), "line": ("line", "LinePanel"), "profile": ("profile", "ProfilePanel"),
    "sections": ("sections", "SectionsPanel"), "setout": ("setout", "SetoutPanel"), "loads": ("loads", "LoadsPanel"),
    "materials": ("materials", "MaterialsPanel"), "jobpack": ("job_pack", "JobPackPanel")}


class StepPanels(QStackedWidget):
    """The pages of the eight steps.

    Args:
        document: The document.
        look: The theme.
        measures: How values are shown.
        parent: Qt parent.
    """

    def __init__(self, document: Document, look: Theme, measures: Measures, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Panel of the step in hand")
        self.setMinimumWidth(LEAST_WIDTH)
        self._document, self._look, self._measures = document, look, measures
        self.pages: dict[StepKey, QWidget] = {}
        self._scrolls: dict[StepKey, QScrollArea] = {}

    def show_step(self, key: StepKey) -> QWidget:
        """Brings up the page of a step and gives it.

        Args:
            key: The step.
        """
        if key not in self.pages:
            page = self._make(key)
            scroll = QScrollArea(self)
            scroll.setWidgetResizable(True)
            scroll.setFrameShape(QFrame.Shape.NoFrame)
            scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
            scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
            scroll.setWidget(page)
            self.pages[key], self._scrolls[key] = page, scroll
            self.addWidget(scroll)
        self.setCurrentWidget(self._scrolls[key])
        return self.pages[key]

    def set_theme(self, look: Theme) -> None:
        """Takes other colours and sizes."""
        self._look = look
        for page in self.pages.values():
            if hasattr(page, "set_theme"):
                cast("Panel", page).set_theme(look)

    def set_measures(self, measures: Measures) -> None:
        """Shows values in other units, on every page that shows any."""
        self._measures = measures
        for page in self.pages.values():
            if hasattr(page, "set_measures"):
                page.set_measures(measures)

    def _make(self, key: StepKey) -> QWidget:
        made = panel_class(key)
        if made is None:
            return Placeholder(key, self)
        page = made(self._document, self._look)
        if hasattr(page, "set_measures"):
            page.set_measures(self._measures)
        return page


class Placeholder(QWidget):
    """Says plainly that a step has no page in this version, and what the step asks."""

    def __init__(self, key: StepKey, parent: QWidget) -> None:
        super().__init__(parent)
        step = next(step for step in STEPS if step.key == key)
        card = QFrame(self)
        card.setObjectName("card")
        card.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        title = QLabel(step.title, card)
        title.setObjectName("title")
        words = QLabel(f"{step.asks}\n\nThis version has no page for it yet; the map, the strip and the command line "
                       "show what is planned.", card)
        words.setWordWrap(True)
        inside = QVBoxLayout(card)
        inside.setContentsMargins(14, 12, 14, 12)
        inside.addWidget(title)
        inside.addWidget(words)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(card)
        column.addStretch(1)


def panel_class(key: StepKey) -> Callable[[Document, Theme], QWidget] | None:
    """The class of a step's page; None when this version has none.

    Args:
        key: The step.
    """
    stem, name = _PANELS[key]
    for module in (f"planner.ui.panels.{stem}_panel", f"planner.ui.panels.{stem}"):
        try:
            known = find_spec(module) is not None
        except ModuleNotFoundError:
            known = False
        if known:
            found = getattr(importlib.import_module(module), name, None)
            if found is not None:
                return cast("Callable[[Document, Theme], QWidget]", found)
    return None
