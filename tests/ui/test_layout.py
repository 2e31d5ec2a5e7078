"""Nothing is clipped, everything has a name, at every size of window and text, in every theme."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QFontMetricsF
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractScrollArea,
    QAbstractSpinBox,
    QComboBox,
    QLabel,
    QPushButton,
    QScrollArea,
    QWidget,
)
from pytestqt.qtbot import QtBot
from window_steps import take_up

from planner.job.job import Job
from planner.ui.main_window import MainWindow
from planner.ui.way_state import STEPS

SLACK_PX = 2


def clipped(root: QWidget) -> list[str]:
    """Texts that have less room than they need, and parts that stick out of what holds them."""
    wrong: list[str] = []
    for widget in root.findChildren(QWidget):
        if not widget.isVisible() or widget.window() is not root.window():
            continue
        if isinstance(widget, QLabel) and widget.text() and not widget.wordWrap():
            if widget.sizePolicy().horizontalPolicy() != widget.sizePolicy().Policy.Ignored:
                needs = widget.sizeHint()
                if needs.width() > widget.width() + SLACK_PX or needs.height() > widget.height() + SLACK_PX:
                    wrong.append(f"label '{widget.text()}' needs {needs.width()} x {needs.height()}")
        elif isinstance(widget, QLabel) and widget.text():
            if widget.heightForWidth(widget.width()) > widget.height() + SLACK_PX:
                wrong.append(f"label '{widget.text()[:40]}' needs {widget.heightForWidth(widget.width())} high")
        elif isinstance(widget, QPushButton) and widget.text():
            needs = QFontMetricsF(widget.font()).horizontalAdvance(widget.text())
            if needs > widget.width() or widget.sizeHint().height() > widget.height() + SLACK_PX:
                wrong.append(f"button '{widget.text()}'")
        elif isinstance(widget, QAbstractButton):
            needs = widget.minimumSizeHint() if widget.minimumSizeHint().isValid() else widget.sizeHint()
            if needs.width() > widget.width() + SLACK_PX or needs.height() > widget.height() + SLACK_PX:
                wrong.append(f"{type(widget).__name__} '{widget.text()}'")
        elif isinstance(widget, QScrollArea) and widget.widget() is not None:
            over = widget.widget().width() - widget.viewport().width()
            if over > 0 and widget.horizontalScrollBarPolicy() == Qt.ScrollBarPolicy.ScrollBarAlwaysOff:
                wrong.append(f"{type(widget.widget()).__name__} is {over} px wider than what is seen of it")
    return wrong


def test_the_check_sees_a_label_that_is_too_narrow(qtbot: QtBot) -> None:
    box = QWidget()
    qtbot.addWidget(box)
    label = QLabel("Take-up of every section", box)
    label.setGeometry(0, 0, 40, 20)
    box.show()
    assert clipped(box)
    box.hide()


def test_the_check_sees_a_page_that_is_wider_than_its_room(qtbot: QtBot) -> None:
    box, page = QWidget(), QWidget()
    qtbot.addWidget(box)
    scroll = QScrollArea(box)
    scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    scroll.setWidget(page)
    scroll.resize(200, 100)
    box.resize(240, 140)
    page.resize(scroll.viewport().width(), 50)
    box.show()
    assert clipped(box) == []
    page.resize(scroll.viewport().width() + 1, 50)
    assert clipped(box) == ["QWidget is 1 px wider than what is seen of it"]
    box.hide()


@pytest.mark.parametrize("text_percent", [100, 150])
@pytest.mark.parametrize("colours", ["light", "dark", "contrast"])
def test_nothing_is_clipped_at_the_least_size(make_window: Callable[..., MainWindow], sample: Job, qtbot: QtBot,
                                              colours: str, text_percent: int) -> None:
    window = make_window(1280, 720, theme=colours, text_percent=text_percent)
    assert clipped(window) == []
    take_up(window, sample, qtbot)
    for step in STEPS:
        window.take_step(step.key)
        for _ in range(60):  # a page is laid out over several rounds of the event loop
            qtbot.wait(20)
            if not clipped(window):
                break
        assert clipped(window) == [], step.title
    assert (window.width(), window.height()) == (1280, 720)


@pytest.mark.parametrize("text_percent", [80, 100, 125, 150])
def test_the_doors_of_the_first_page_are_alike(make_window: Callable[..., MainWindow], text_percent: int) -> None:
    doors = make_window(1280, 800, text_percent=text_percent).first.doors
    assert len(doors) == 3
    assert len({(door.y(), door.height()) for door in doors}) == 1
    assert max(door.width() for door in doors) - min(door.width() for door in doors) <= 1


@pytest.mark.parametrize(("width", "least", "most"), [(1280, 370, 380), (1920, 450, 465)])
def test_the_panel_is_wider_where_the_window_is(make_window: Callable[..., MainWindow], sample: Job, qtbot: QtBot,
                                                width: int, least: int, most: int) -> None:
    window = make_window(width, 800)
    take_up(window, sample, qtbot)
    assert window.work is not None
    assert least <= window.work.panels.width() <= most


def test_every_part_that_takes_the_keyboard_has_a_name(sample_window: MainWindow, qtbot: QtBot) -> None:
    for step in STEPS:
        sample_window.take_step(step.key)
        qtbot.wait(10)
    nameless = [f"{type(w).__name__} in {type(w.parentWidget()).__name__}" for w in sample_window.findChildren(QWidget)
                if w.focusPolicy().value and not w.accessibleName()
                and not isinstance(w, QLabel) and not (isinstance(w, QAbstractButton) and w.text())
                and not isinstance(w.parentWidget(), QAbstractScrollArea) and not _inner(w)]
    assert nameless == []


def _inner(widget: QWidget) -> bool:
    """Parts that Qt itself puts into spin boxes and combo boxes; the box has the name."""
    parent = widget.parentWidget()
    while parent is not None and not isinstance(parent, QAbstractSpinBox | QComboBox):
        parent = parent.parentWidget()
    return parent is not None and bool(parent.accessibleName())
