"""Ground classes in the strip."""

from __future__ import annotations

from dataclasses import replace

import shapely
from PySide6.QtGui import QImage
from pytestqt.qtbot import QtBot
from window_steps import settled_picture

from planner.job.derive import plan_job
from planner.survey.features import Feature
from planner.ui.document import Document, Selection
from planner.ui.strip.strip import Strip
from planner.ui.theme import theme
from tests.plain_jobs import EAST, NORTH, straight_job

WIDE, HIGH = 800, 200


def picture(qtbot: QtBot, *features: Feature) -> tuple[Strip, QImage]:
    job = replace(straight_job(), features=features)
    document = Document()
    document.start(job)
    document._again.stop()
    document.plan = plan_job(job)
    document.wait_for_plan()
    document.select(Selection("Home"))
    strip = Strip(document, theme("light"))
    qtbot.addWidget(strip)
    strip.resize(WIDE, HIGH)
    image = settled_picture(strip)
    document.wait_for_plan()
    document.close()
    return strip, image


def test_only_the_metres_that_an_area_covers_are_toned(qapp: object, qtbot: QtBot) -> None:
    strip, bare = picture(qtbot)
    tor = Feature("Tor", "ground", shapely.box(EAST + 100, NORTH - 5, EAST + 200, NORTH + 5).wkt, (("class", "ledge"),))
    _, rocky = picture(qtbot, tor)
    scale = strip.scale()
    assert scale is not None
    foot = round(scale.field.bottom()) - 2
    changed = [m for m in range(5, 396) if bare.pixel(round(float(scale.x(float(m)))), foot)
               != rocky.pixel(round(float(scale.x(float(m)))), foot)]
    assert (min(changed), max(changed)) in ((100, 199), (100, 200), (101, 199), (101, 200), (100, 201))
    assert len(changed) >= 0.97 * 100
