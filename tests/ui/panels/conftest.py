"""What the tests of the panels share: a document with the sample job and its plan, and panels at their width."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from PySide6.QtWidgets import QWidget

from planner.job.job import Job
from planner.job.plan import JobPlan
from planner.ui.document import Document
from planner.ui.panels.panel import StepPanel
from planner.ui.theme import style_sheet, theme


@pytest.fixture
def planned(qapp, sample: Job, sample_plan: JobPlan) -> Iterator[Document]:
    """The sample job with its plan; later plans are made from it, so that they are quick."""
    made = Document()
    made.start(sample)
    made._again.stop()
    made.plan = sample_plan
    made.wait_for_plan()
    yield made
    made.wait_for_plan()
    made.close()


@pytest.fixture
def show(qtbot) -> Callable[..., StepPanel]:
    """Makes a panel and shows it as wide as the window does."""
    hosts: list[QWidget] = []

    def make(kind: type[StepPanel], document: Document, width: int = 376) -> StepPanel:
        look = theme("light")
        host = QWidget()
        host.setStyleSheet(style_sheet(look))
        panel = kind(document, look)
        panel.setParent(host)
        qtbot.addWidget(host)
        panel.setGeometry(0, 0, width, 2600)
        host.resize(width, 2600)
        host.show()
        qtbot.waitExposed(host)
        hosts.append(host)
        return panel

    return make
