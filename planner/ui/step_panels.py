"""The panel at the right: one page a step, made when its step is first taken in hand."""

from __future__ import annotations

import importlib
import sys
from collections.abc import Callable, Mapping
from typing import Protocol, cast

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QScrollArea, QStackedWidget, QWidget

from planner.ui.document import Document
from planner.ui.measures import Measures
from planner.ui.theme import Theme
from planner.ui.way_state import StepKey

LEAST_WIDTH = 340


class Panel(Protocol):
    """What every panel does besides being a widget."""

    def set_theme(self, look: Theme) -> None:
        """Takes other colours and sizes."""


PANELS: Mapping[StepKey, tuple[str, str]] = {
    "survey": ("survey", "SurveyPanel"), "line": ("line", "LinePanel"), "profile": ("profile", "ProfilePanel"),
    "sections": ("sections", "SectionsPanel"), "setout": ("setout", "SetoutPanel"), "loads": ("loads", "LoadsPanel"),
    "materials": ("materials", "MaterialsPanel"), "jobpack": ("job_pack", "JobPackPanel")}
"""Step to the module and the class of its page."""


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
            self._add(key)
        self.setCurrentWidget(self._scrolls[key])
        return self.pages[key]

    def make_next(self) -> bool:
        """Makes one page that is not there yet, ahead of its need; False when all are.

        The module of a page and the page itself take a turn each, so that none is long.
        """
        for key, (module, _) in PANELS.items():
            if key not in self.pages:
                name = f"planner.ui.panels.{module}"
                if name in sys.modules:
                    self._add(key)
                else:
                    importlib.import_module(name)
                return True
        return False

    def _add(self, key: StepKey) -> None:
        page = self._make(key)
        scroll = QScrollArea(self)
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setWidget(page)
        self.pages[key], self._scrolls[key] = page, scroll
        self.addWidget(scroll)

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

    def close_down(self) -> None:
        """Ends background work of the pages."""
        for page in self.pages.values():
            if hasattr(page, "close_down"):
                page.close_down()

    def _make(self, key: StepKey) -> QWidget:
        page = panel_class(key)(self._document, self._look)
        if hasattr(page, "set_measures"):
            page.set_measures(self._measures)
        return page


def panel_class(key: StepKey) -> Callable[[Document, Theme], QWidget]:
    """The class of a step's page, loaded now.

    Args:
        key: The step.
    """
    module, name = PANELS[key]
    return cast("Callable[[Document, Theme], QWidget]", getattr(importlib.import_module(f"planner.ui.panels.{module}"),
                                                                name))
