"""What the tests of the map share."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
import pytest

from planner.alignment.line import Crossing, FenceLine, Gate
from planner.job.derive import plan_job
from planner.job.job import Job
from planner.job.plan import JobPlan
from planner.ui.canvas.map_canvas import MapCanvas


@pytest.fixture(autouse=True)
def no_qt_warnings(qtlog) -> Iterator[None]:
    yield
    wrong = [record.message for record in qtlog.records if record.type.name in ("QtWarningMsg", "QtCriticalMsg")]
    assert not wrong


@pytest.fixture
def canvas(qtbot) -> Iterator[MapCanvas]:
    widget = MapCanvas()
    qtbot.addWidget(widget)
    widget.resize(640, 400)
    widget.show()
    qtbot.waitExposed(widget)
    yield widget
    widget.stop()


@pytest.fixture
def settle(qtbot) -> Callable[[MapCanvas], None]:
    def wait(widget: MapCanvas) -> None:
        qtbot.waitUntil(lambda: widget.is_settled, timeout=10_000)

    return wait


@pytest.fixture(scope="session")
def plan() -> JobPlan:
    """An open line with a corner, a gate and a crossing, and another that meets it."""
    first = FenceLine("North", "general-mesh", np.array([[0.0, 0.0], [600.0, 0.0], [600.0, 500.0]]),
                      gates=(Gate("Gate 1", 200.0, 0.0, 4.0),), crossings=(Crossing("Creek", 600.0, 250.0, 20.0),))
    second = FenceLine("Lane", "general-mesh", np.array([[300.0, 0.0], [300.0, 400.0]]))
    return plan_job(Job("Test", "EPSG:7855", lines=(first, second)))
