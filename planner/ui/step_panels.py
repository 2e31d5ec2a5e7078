"""The panel at the right: one page a step, made when its step is first taken in hand."""

from __future__ import annotations

import importlib
import sys
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Protocol, cast

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QScrollArea, QStackedWidget, QWidget

from planner.ui.document import Document
from planner.ui.measures import Measures
from planner.ui.theme import Theme
from planner.ui.way_state import StepKey

if TYPE_CHECKING:
    from planner.ui.panels.panel import StepPanel

LEAST_WIDTH = 340
_POLISHED = 25
"""Parts of a page that take their style in one turn, ahead of its need."""


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
        self._begun: dict[StepKey, Iterator[None]] = {}
        self._scrolls: dict[StepKey, QScrollArea] = {}

    def show_step(self, key: StepKey) -> QWidget:
        """Brings up the page of a step and gives it.

        Args:
            key: The step.
        """
        if key not in self.pages:
            self._finish(key)
        self.setCurrentWidget(self._scrolls[key])
        return self.pages[key]

    def make_next(self) -> bool:
        """Makes one more piece of the pages that are not there yet, ahead of their need; False when all are.

        The module of a page and each piece of it take a turn of their own, so that none is long.
        """
        key = next((key for key in PANELS if key not in self.pages), None)
        if key is None:
            return False
        name = f"planner.ui.panels.{PANELS[key][0]}"
        if name not in sys.modules:
            importlib.import_module(name)
        elif next(self._begun.setdefault(key, self._grown(key)), "whole") == "whole":
            del self._begun[key]
        return True

    def _finish(self, key: StepKey) -> None:
        for _ in self._begun.pop(key, None) or self._grown(key):
            pass

    def _finish_begun(self) -> None:
        """No page stays half made with what it began with."""
        for key in list(self._begun):
            self._finish(key)

    def _grown(self, key: StepKey) -> Iterator[None]:
        """Makes a page where it will stand, so that it is dressed once, and piece by piece."""
        page = panel_class(key)(self._document, self._look, at_once=False)
        scroll = QScrollArea(self)
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setWidget(page)
        self.addWidget(scroll)
        yield
        while page.make_more():
            yield
        page.set_measures(self._measures)
        for number, part in enumerate(page.findChildren(QWidget)):
            part.ensurePolished()
            if number % _POLISHED == _POLISHED - 1:
                yield
        self.pages[key], self._scrolls[key] = page, scroll

    def set_theme(self, look: Theme) -> None:
        """Takes other colours and sizes."""
        self._finish_begun()
        self._look = look
        for page in self.pages.values():
            if hasattr(page, "set_theme"):
                cast("Panel", page).set_theme(look)

    def set_measures(self, measures: Measures) -> None:
        """Shows values in other units, on every page that shows any."""
        self._finish_begun()
        self._measures = measures
        for page in self.pages.values():
            if hasattr(page, "set_measures"):
                page.set_measures(measures)

    def close_down(self) -> None:
        """Ends background work of the pages."""
        for page in self.pages.values():
            if hasattr(page, "close_down"):
                page.close_down()


def panel_class(key: StepKey) -> type[StepPanel]:
    """The class of a step's page, loaded now.

    Args:
        key: The step.
    """
    module, name = PANELS[key]
    return cast("type[StepPanel]", getattr(importlib.import_module(f"planner.ui.panels.{module}"), name))
