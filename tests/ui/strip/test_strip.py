"""The strip: the long section, what it tells, what it takes in hand, and what is dragged on it."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QImage
from pytestqt.qtbot import QtBot
from window_steps import settled_picture

from planner.alignment.corners import openings
from planner.job.job import Job
from planner.job.plan import JobPlan, LinePlan
from planner.sections.friction import turning_along
from planner.ui.document import Document, Selection
from planner.ui.measures import Measures
from planner.ui.strip.painting import LIT, StripPainter, _thinned
from planner.ui.strip.reading import reading_at, run_figures
from planner.ui.strip.scale import StripScale, round_places, round_step
from planner.ui.strip.strip import Strip
from planner.ui.theme import theme
from planner.ui.way_state import STEPS, StepKey

WIDE, HIGH = 1000, 224


@pytest.fixture
def planned(qapp: object, sample: Job, sample_plan: JobPlan) -> Iterator[Document]:
    """The sample job with its plan, and its second line in hand, which has a gate and a crossing."""
    made = Document()
    made.start(sample)
    made._again.stop()
    made.plan = sample_plan
    made.wait_for_plan()
    made.select(Selection(sample.lines[1].name))
    yield made
    made.wait_for_plan()
    made.close()


@pytest.fixture
def strip(planned: Document, qtbot: QtBot) -> Strip:
    made = Strip(planned, theme("light"))
    qtbot.addWidget(made)
    made.resize(WIDE, HIGH)
    made.show()
    qtbot.waitExposed(made)
    return made


def shown(strip: Strip) -> LinePlan:
    assert strip._plan is not None
    return strip._plan


def scale_of(strip: Strip) -> StripScale:
    scale = strip.scale()
    assert scale is not None
    return scale


def at(strip: Strip, chainage_m: float) -> QPoint:
    """A place in the middle of the strip at a chainage."""
    scale = scale_of(strip)
    return QPoint(round(float(scale.x(chainage_m))), round(scale.field.center().y()))


# the scale


def test_the_whole_line_fills_the_width() -> None:
    scale = StripScale(QRectF(58, 28, 900, 150), 0.0, 1800.0, 200.0, 230.0)
    assert float(scale.x(0.0)) == 58.0
    assert float(scale.x(1800.0)) == 958.0
    assert scale.px_per_m == 0.5
    assert scale.exaggeration == 10.0


def test_level_rises_upward_and_pixels_go_back_to_chainage() -> None:
    scale = StripScale(QRectF(58, 28, 900, 150), 100.0, 1900.0, 200.0, 230.0)
    assert float(scale.y(200.0)) == 178.0
    assert float(scale.y(230.0)) == 28.0
    assert scale.chainage(float(scale.x(777.0))) == pytest.approx(777.0)
    assert scale.chainage(0.0) == 100.0
    assert scale.chainage(5000.0) == 1900.0


@pytest.mark.parametrize(("span", "most", "step"), [(10.0, 10, 1.0), (10.01, 10, 2.0), (480.0, 5, 100.0), (0.3, 3, 0.1),
                                                    (7841.0, 10, 1000.0)])
def test_steps_are_round_and_no_more_than_asked_for(span: float, most: int, step: float) -> None:
    assert round_step(span, most) == pytest.approx(step)
    assert span / round_step(span, most) <= most + 1e-9


@pytest.mark.parametrize(("low", "high", "most", "unit_m", "figures"), [
    (0.0, 480.0, 5, 1.0, ["0", "100", "200", "300", "400"]),
    (222.0, 281.0, 4, 1.0, ["240", "260", "280"]),
    (222.0, 281.0, 4, 0.3048, ["750", "800", "850", "900"]),
    (0.0, 7841.0, 8, 0.3048, ["0", "5\u202f000", "10\u202f000", "15\u202f000", "20\u202f000", "25\u202f000"]),
    (0.0, 201.168, 5, 20.1168, ["0", "2", "4", "6", "8", "10"]),
    (230.1, 230.75, 4, 1.0, ["230.2", "230.4", "230.6"]),
    (-3.0, 3.0, 3, 1.0, ["\u22122", "0", "2"])])
def test_an_axis_is_round_in_the_unit_shown(low: float, high: float, most: int, unit_m: float,
                                            figures: list[str]) -> None:
    places = round_places(low, high, most, unit_m)
    assert [figure for _, figure in places] == figures
    for place, figure in places:
        shown = float(figure.replace("\u202f", "").replace("\u2212", "-"))
        assert place == pytest.approx(shown * unit_m)
        assert low - 1e-9 <= place <= high + 1e-9


@pytest.mark.parametrize("high", [150, HIGH, 500])
def test_marks_of_the_highest_ground_stand_under_the_band_of_sections(strip: Strip, high: int) -> None:
    """Over the top wire of the highest ground there is room for the largest mark, however low the strip is."""
    strip.resize(WIDE, high)
    strip._document.select(Selection(strip._document.job.lines[0].name))
    plan, scale = shown(strip), scale_of(strip)
    top_wire = float(scale.y(float(plan.ground.level_m.max()) + plan.fence.height_m))
    assert strip._painter is not None
    largest = max(mark.size_px for mark in strip._painter._all_marks(Selection()))
    assert largest == 16.0
    assert scale.field.top() <= top_wire - 1.35 * largest
    assert top_wire < scale.field.center().y()


# what it tells


def test_tension_is_full_where_it_is_pulled_and_least_at_the_far_end(sample_plan: JobPlan) -> None:
    """The far end of every sub-run has what the plan says is left there."""
    for plan in sample_plan.lines:
        figures = run_figures(plan)
        for name, run in plan.joins.items():
            own = [f for f in figures if f.section == name]
            for number, (sub, figure) in enumerate(zip(run.sub_runs, own, strict=True)):
                pulled, far = (-1, 0) if number == 0 else (0, -1)
                assert figure.tension[pulled] == pytest.approx(1.0)
                assert figure.tension[far] == figure.tension.min()
                assert figure.tension[far] == pytest.approx(sub.far_end_ratio, abs=1e-6)


def test_the_pull_falls_away_from_a_mid_run_join_on_both_sides(sample_plan: JobPlan) -> None:
    plan = sample_plan.lines[0]
    name = next(name for name, run in plan.joins.items() if run.joins)
    left, right = [f for f in run_figures(plan) if f.section == name][:2]
    assert left.at_m[-1] == right.at_m[0] == plan.joins[name].joins[0].chainage_m
    assert np.all(np.diff(left.tension) >= 0.0)
    assert np.all(np.diff(right.tension) <= 0.0)
    assert turning_along(plan.corners, plan.chain).turned_rad[-1] > 0.0


def test_the_greatest_lean_drawn_is_the_plan_s(sample_plan: JobPlan) -> None:
    """Drawn every half metre, the greatest lean of a sub-run is the greatest that its join was chosen for."""
    for plan in sample_plan.lines:
        assert plan.fence.mesh is not None
        own = iter(run_figures(plan, step_m=0.5))
        for run in plan.joins.values():
            for sub in run.sub_runs:
                assert float(np.abs(next(own).lean_deg).max()) == pytest.approx(sub.lean_max_deg, abs=0.1)


def test_a_reading_names_level_grade_lean_tension_and_section(sample_plan: JobPlan) -> None:
    plan = sample_plan.lines[1]
    figures = run_figures(plan)
    middle = next(s for s in plan.sections if s.id in plan.joins)
    chainage = (middle.from_m + middle.to_m) / 2
    told = reading_at(plan, figures, chainage)
    assert told.section == middle.id
    assert told.level_m == pytest.approx(float(plan.ground.level_at(chainage)))
    assert told.tension is not None
    assert 0.5 < told.tension <= 1.0
    assert told.lean_deg is not None


def test_in_a_gate_nothing_leans_and_nothing_is_strained(sample_plan: JobPlan) -> None:
    plan = sample_plan.lines[1]
    gate = next(s for s in plan.sections if s.is_gate)
    told = reading_at(plan, run_figures(plan), (gate.from_m + gate.to_m) / 2)
    assert (told.lean_deg, told.tension) == (None, None)


# drawing


@pytest.mark.parametrize("name", ["light", "dark", "contrast"])
def test_the_sample_job_is_drawn_in_every_theme(planned: Document, qtbot: QtBot, name: str) -> None:
    look = theme(name)  # type: ignore[arg-type]
    strip = Strip(planned, look)
    qtbot.addWidget(strip)
    strip.resize(WIDE, HIGH)
    image = settled_picture(strip).convertToFormat(QImage.Format.Format_RGB32)
    seen = np.frombuffer(image.constBits(), np.uint32).reshape(HIGH, WIDE) & 0xFFFFFF
    count = {colour: int((seen == (QColor(colour).rgb() & 0xFFFFFF)).sum()) for colour in (look.card, look.ink)}
    assert count[look.card] > 0.1 * WIDE * HIGH / 4
    assert count[look.ink] > 200
    assert len(np.unique(seen)) > 50


def test_each_step_lights_something_else(strip: Strip) -> None:
    assert set(LIT) == {step.key for step in STEPS}
    pictures = {}
    for step in STEPS:
        strip.light(step.key)
        pictures[step.key] = settled_picture(strip)
    assert pictures["setout"] != pictures["sections"]
    assert pictures["profile"] != pictures["line"]
    strip.light("sections")
    assert settled_picture(strip) == pictures["sections"]


def test_sight_lines_are_drawn_while_pegs_are_set_out(strip: Strip) -> None:
    """The second line of the sample job needs a peg for sight: its two sight lines are in the accent."""
    plan, accent = shown(strip), QColor(theme("light").accent).rgb()
    assert len(plan.sight.chainage_m) == 1
    start, to = next((a, b) for a, b, seen in plan.sight.sees if not seen)

    def accented() -> int:
        image = settled_picture(strip)
        scale = scale_of(strip)
        columns = range(round(float(scale.x(start))) + 2, round(float(scale.x(to))) - 2)
        return sum(any(image.pixel(x, y) == accent for y in range(HIGH)) for x in columns)

    assert accented() == 0
    strip.light("setout")
    assert accented() > 0.5 * (to - start) * scale_of(strip).px_per_m


def test_a_long_profile_is_thinned_to_its_lowest_and_highest_of_each_column() -> None:
    chainage = np.arange(0.0, 50_000.0)
    level = 200.0 + 20.0 * np.sin(chainage / 7.0)
    scale = StripScale(QRectF(58, 28, 900, 150), 0.0, 50_000.0, 170.0, 230.0)
    x, y = _thinned(chainage, level, scale)
    assert len(x) <= 2 * 902
    assert y.min() == pytest.approx(float(scale.y(220.0)), abs=0.2)
    assert y.max() == pytest.approx(float(scale.y(180.0)), abs=0.2)


def test_a_short_profile_is_not_thinned() -> None:
    chainage = np.arange(0.0, 100.0)
    scale = StripScale(QRectF(58, 28, 900, 150), 0.0, 99.0, 0.0, 1.0)
    assert len(_thinned(chainage, np.zeros(100), scale)[0]) == 100


def test_a_closer_look_draws_only_that_stretch() -> None:
    chainage = np.arange(0.0, 1000.0)
    scale = StripScale(QRectF(58, 28, 900, 150), 400.0, 500.0, 0.0, 1.0)
    x, _ = _thinned(chainage, np.zeros(1000), scale)
    assert 100 <= len(x) <= 104


def test_without_a_plan_it_says_what_to_do(document: Document, qtbot: QtBot) -> None:
    strip = Strip(document, theme("light"))
    qtbot.addWidget(strip)
    strip.resize(WIDE, HIGH)
    assert strip.scale() is None
    empty = strip.grab().toImage()
    qtbot.mouseClick(strip, Qt.MouseButton.LeftButton, pos=QPoint(400, 100))
    assert document.selection == Selection()
    assert any(empty.pixel(x, y) != empty.pixel(0, 0) for x in range(300, 700, 3) for y in range(100, 124))


# the cursor


def test_the_cursor_goes_both_ways(strip: Strip, qtbot: QtBot) -> None:
    name, document = shown(strip).line.name, strip._document
    with qtbot.waitSignal(document.cursor_moved) as moved:
        qtbot.mouseMove(strip, at(strip, 800.0))
    line, chainage = moved.args
    assert line == name
    assert chainage == pytest.approx(800.0, abs=1.0 / scale_of(strip).px_per_m)
    assert strip.cursor_m == chainage
    document.point_at(name, 1234.5)
    assert strip.cursor_m == 1234.5
    document.point_at("another line", 10.0)
    assert strip.cursor_m is None


def test_the_cursor_is_drawn_where_it_stands(strip: Strip) -> None:
    accent = QColor(theme("light").accent).rgb()
    strip._document.point_at(shown(strip).line.name, 1000.0)
    image = settled_picture(strip)
    x = round(float(scale_of(strip).x(1000.0)))
    foot = round(scale_of(strip).field.bottom()) - 6
    assert any(QColor(image.pixel(x + d, foot)).saturation() > 100 for d in (-1, 0, 1))
    assert QColor(accent).saturation() > 100


# taking in hand


def test_a_click_takes_a_section_in_hand(strip: Strip, qtbot: QtBot) -> None:
    plan = shown(strip)
    section = next(s for s in plan.sections if s.id in plan.joins)
    free = _free_place(strip, section.from_m, section.to_m)
    qtbot.mouseClick(strip, Qt.MouseButton.LeftButton, pos=at(strip, free))
    assert strip._document.selection == Selection(plan.line.name, section.id)
    assert not strip._document.history.can_undo


def _free_place(strip: Strip, from_m: float, to_m: float) -> float:
    """A chainage in a section with no post and no join near it."""
    assert strip._painter is not None
    plan = shown(strip)
    taken = np.array([p.chainage_m for p in plan.posts]
                     + [j.chainage_m for joins in strip._painter.joins.values() for j in joins])
    places = np.linspace(from_m, to_m, 400)[20:-20]
    gap = np.abs(places[:, None] - taken).min(axis=1)
    return float(places[gap.argmax()])


def test_a_click_on_a_join_takes_the_join(strip: Strip, qtbot: QtBot) -> None:
    assert strip._painter is not None
    section, joins = next(iter(strip._painter.joins.items()))
    qtbot.mouseClick(strip, Qt.MouseButton.LeftButton, pos=at(strip, joins[0].chainage_m))
    assert strip._document.selection == Selection(shown(strip).line.name, section, join_m=joins[0].chainage_m)


def test_a_post_that_is_drawn_can_be_taken(strip: Strip, qtbot: QtBot) -> None:
    """Line posts stand too near to be drawn along the whole line; with one section alone they are."""
    plan, document = shown(strip), strip._document
    section = next(s for s in plan.sections if s.id in plan.joins)
    inside = [i for i, p in enumerate(plan.posts) if p.kind == "line" and p.section == section.id]
    post = inside[len(inside) // 2]
    qtbot.mouseClick(strip, Qt.MouseButton.LeftButton, pos=at(strip, plan.posts[post].chainage_m))
    assert document.selection.post != plan.post_names[post]
    document.select(Selection(plan.line.name, section.id))
    qtbot.keyClick(strip, Qt.Key.Key_Return)
    qtbot.mouseClick(strip, Qt.MouseButton.LeftButton, pos=at(strip, plan.posts[post].chainage_m))
    assert document.selection.post == plan.post_names[post]


def test_keys_walk_from_post_to_post(strip: Strip, qtbot: QtBot) -> None:
    plan, document = shown(strip), strip._document
    for post in plan.post_names[:3]:
        qtbot.keyClick(strip, Qt.Key.Key_Right)
        assert document.selection.post == post
    assert strip.cursor_m == plan.posts[2].chainage_m
    qtbot.keyClick(strip, Qt.Key.Key_Left)
    assert document.selection.post == plan.post_names[1]
    document.select(Selection(plan.line.name, post=plan.post_names[-1]))
    qtbot.keyClick(strip, Qt.Key.Key_Right)
    assert document.selection.post == plan.post_names[-1]


def test_keys_walk_from_section_to_section(strip: Strip, qtbot: QtBot) -> None:
    plan, document = shown(strip), strip._document
    for section in plan.sections[:2]:
        qtbot.keyClick(strip, Qt.Key.Key_Down)
        assert document.selection.section == section.id
    qtbot.keyClick(strip, Qt.Key.Key_Up)
    qtbot.keyClick(strip, Qt.Key.Key_Up)
    assert document.selection.section == plan.sections[0].id


def test_a_double_click_shows_one_section_alone(strip: Strip, qtbot: QtBot) -> None:
    plan = shown(strip)
    section = max(plan.sections, key=lambda s: s.to_m - s.from_m)
    whole = scale_of(strip)
    place = at(strip, _free_place(strip, section.from_m, section.to_m))
    qtbot.mouseClick(strip, Qt.MouseButton.LeftButton, pos=place)
    qtbot.mouseDClick(strip, Qt.MouseButton.LeftButton, pos=place)
    alone = scale_of(strip)
    assert alone.px_per_m > 1.5 * whole.px_per_m
    assert alone.from_m <= section.from_m < section.to_m <= alone.to_m
    qtbot.mouseDClick(strip, Qt.MouseButton.LeftButton, pos=place)
    assert scale_of(strip) == whole


def test_return_shows_the_section_in_hand_alone_and_escape_the_whole_line(strip: Strip, qtbot: QtBot) -> None:
    whole = scale_of(strip)
    qtbot.keyClick(strip, Qt.Key.Key_Down)
    qtbot.keyClick(strip, Qt.Key.Key_Return)
    assert scale_of(strip).px_per_m > whole.px_per_m
    qtbot.keyClick(strip, Qt.Key.Key_Escape)
    assert scale_of(strip) == whole


# dragging


def test_a_dragged_gate_is_one_edit_that_can_be_undone(strip: Strip, qtbot: QtBot) -> None:
    document, plan = strip._document, shown(strip)
    gap = next(g for g in openings(plan.line, plan.ground) if g.kind == "gate")
    before = next(g for g in document.job.lines[1].gates if g.name == gap.name)
    start, end = at(strip, (gap.from_m + gap.to_m) / 2), at(strip, gap.to_m + 60.0)
    qtbot.mousePress(strip, Qt.MouseButton.LeftButton, pos=start)
    for share in (0.25, 0.5, 0.75, 1.0):
        qtbot.mouseMove(strip, start + (end - start) * share)
    assert document.job.lines[1].gates == plan.line.gates
    qtbot.mouseRelease(strip, Qt.MouseButton.LeftButton, pos=end)
    document.wait_for_plan()
    moved = next(g for g in document.job.lines[1].gates if g.name == gap.name)
    assert 40.0 < np.hypot(moved.x - before.x, moved.y - before.y) < 80.0
    assert moved.width_m == before.width_m
    assert document.history.can_undo
    document.undo()
    assert next(g for g in document.job.lines[1].gates if g.name == gap.name) == before
    assert not document.history.can_undo


def test_escape_lets_a_dragged_gate_go(strip: Strip, qtbot: QtBot) -> None:
    document, plan = strip._document, shown(strip)
    gap = next(g for g in openings(plan.line, plan.ground) if g.kind == "gate")
    start, end = at(strip, (gap.from_m + gap.to_m) / 2), at(strip, gap.to_m + 60.0)
    qtbot.mousePress(strip, Qt.MouseButton.LeftButton, pos=start)
    qtbot.mouseMove(strip, end)
    qtbot.keyClick(strip, Qt.Key.Key_Escape)
    qtbot.mouseRelease(strip, Qt.MouseButton.LeftButton, pos=end)
    assert not document.history.can_undo


def test_a_click_on_a_gate_moves_nothing(strip: Strip, qtbot: QtBot) -> None:
    document, plan = strip._document, shown(strip)
    gap = next(g for g in openings(plan.line, plan.ground) if g.kind == "gate")
    qtbot.mouseClick(strip, Qt.MouseButton.LeftButton, pos=at(strip, (gap.from_m + gap.to_m) / 2))
    assert not document.history.can_undo


# painter by itself


def test_a_painter_knows_the_lowest_wire(sample_plan: JobPlan) -> None:
    plan = sample_plan.lines[0]
    painter = StripPainter(plan, {}, run_figures(plan), theme("light"), Measures())
    assert plan.fence.mesh is not None
    assert painter.low_wire_m == plan.fence.mesh.gap_below_m
    assert painter.height_m == plan.fence.height_m
    assert QPointF(0, painter.height_m).y() > painter.low_wire_m


def test_a_line_without_a_plan_is_not_asked_for_again(strip: Strip, planned: Document) -> None:
    assert strip._without_line() == "The long section shows here once the plan is made."
    planned.start(Job("Empty", crs="EPSG:7855"))
    assert strip._without_line().startswith("Draw or import a line")


def test_words_recede_less_than_lines(strip: Strip) -> None:
    """What the lane of the pull measures can be read in a step that is not about it."""
    def darkest(step: StepKey) -> int:
        strip.light(step)
        picture, scale = settled_picture(strip), scale_of(strip)
        ground = QColor(theme("light").card).lightness()
        return max(abs(picture.pixelColor(x, y).lightness() - ground) for x in range(2, round(scale.field.left()) - 6)
                   for y in range(round(scale.field.bottom()) + 6, round(scale.field.bottom()) + 30))

    assert darkest("sections") > darkest("survey") > 0.6 * darkest("sections")
