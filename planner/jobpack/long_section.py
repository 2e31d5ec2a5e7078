"""The profile sheet: long sections with their exaggeration, then every rise, dip and run in a table."""

from __future__ import annotations

import math
from collections.abc import Iterable

from planner.job.plan import LinePlan
from planner.jobpack.basis import Basis, accuracy_text, kind_of
from planner.jobpack.page.flow import Flow
from planner.jobpack.page.form import Form
from planner.jobpack.page.measures import degrees_text, grouped, scale_text
from planner.jobpack.page.records import FAINT, Page, Text
from planner.jobpack.page.table import Column, Row, Table
from planner.jobpack.strip_drawing import StripFrame, draw_strip, exaggeration_words
from planner.sections.posts import is_end_post
from planner.survey.ground import SOURCE_NAMES
from planner.units import Metre

SCALES = (200.0, 250.0, 500.0, 1000.0, 2000.0, 2500.0, 5000.0)
_MOST_PANELS = 8
_PANEL_MM = 78.0


def long_section_pages(basis: Basis) -> tuple[Page, ...]:
    """Long section of every line, with its breaks and its runs.

    Args:
        basis: Basis of the sheets.
    """
    return tuple(page for line in basis.plan.lines for page in _line_pages(basis, line))


def _line_pages(basis: Basis, line: LinePlan) -> tuple[Page, ...]:
    form = Form(basis.choice.drawings, landscape=True)
    flow = Flow(form, f"Long section: {line.line.name}", about=accuracy_text([line], basis.measures))
    length = float(line.ground.chainage_m[-1])
    width = form.inner_width - 14.0
    scale = _scale(length, width)
    step = width / 1000.0 * scale
    panels = max(1, math.ceil(length / step - 1e-9))
    for number in range(panels):
        _panel(basis, line, flow, from_m=number * step, to_m=min((number + 1) * step, length), scale=scale)
    flow.text(f"{_ground_words(line)} Chainages are ground plan distances. Labels: chainage, then the break of the "
              "grade (dips positive, crests negative) or the turn.", size_pt=7.5, colour=FAINT)
    _breaks_table(basis, line, flow)
    _runs_table(basis, line, flow)
    return flow.pages()


def _scale(length: Metre, width: float) -> float:
    for scale in SCALES:
        panels = math.ceil(length / (width / 1000.0 * scale))
        if panels <= (1 if scale < 1000.0 else _MOST_PANELS):
            return scale
    return SCALES[-1]


def _panel(basis: Basis, line: LinePlan, flow: Flow, *, from_m: Metre, to_m: Metre, scale: float) -> None:
    flow.need(_PANEL_MM)
    form = flow.form
    drawn = draw_strip(basis, line, StripFrame(form.left, flow.y + 4.5, form.inner_width, _PANEL_MM - 8.0, from_m, to_m,
                                               per_m=1000.0 / scale))
    note = f"; {drawn.left_out} small breaks not named here, see the table" if drawn.left_out else ""
    measures = basis.measures
    head = (f"{line.line.name}, {measures.length(from_m, 0)} to {measures.length(to_m, 0)}; along "
            f"{scale_text(scale)}, {exaggeration_words(drawn.exaggeration)}{note}")
    flow.put([Text(form.left, flow.y + 2.8, head, 8.0, "semibold"), *drawn.marks], _PANEL_MM)


def _ground_words(line: LinePlan) -> str:
    used = sorted({SOURCE_NAMES[code] for code in line.ground.source.tolist()})
    return f"Levels from: {', '.join(used)}. Grades follow the ground within ±{grouped(line.chain.tolerance_m, 2)} m."


def _breaks_table(basis: Basis, line: LinePlan, flow: Flow) -> None:
    measures = basis.measures
    rows = [Row((name, measures.number(post.chainage_m), measures.number(float(line.ground.level_at(post.chainage_m))),
                 post.kind, degrees_text(post.break_deg), f"{degrees_text(post.grade_before_deg)} to "
                 f"{degrees_text(post.grade_after_deg)}", measures.force_number(load.uplift_n), post.section,
                 basis.plan.catalogue.items[post.item].description if post.item in basis.plan.catalogue.items else "",
                 "–" if load.hold_down == "none" else load.hold_down))
            for post, load, name in zip(line.posts, line.loads, line.post_names, strict=True)
            if post.kind in ("rise", "dip")
            or (is_end_post(post) and "grade break" in _causes_at(line, post.chainage_m))
            or load.hold_down != "none"]
    flow.heading("Rises and dips")
    if not rows:
        flow.text("No grade break above 1 degree: no rise or dip posts.")
        return
    unit = measures.length_unit
    flow.table(Table((
        Column("Post", weight="semibold", grow=0), Column(f"Chainage {unit}", "right", grow=0),
        Column(f"Level {unit}", "right", grow=0), Column("What", grow=0.5), Column("Break", "right", grow=0),
        Column("Grade before to after", grow=0.5), Column(f"Lifts {measures.force_unit}", "right", grow=0),
        Column("In", grow=0), Column("Post to drive"), Column("Hold-down", weight="semibold")), tuple(rows)))
    flow.text("Lift: force along the post under the full pull, positive lifts. Advisory. A hold-down is the first rung "
              "of the ladder that holds: longer post, footed post, second post at 45 deg, buried log or stone, "
              "separate section, bridge the dip and infill.", size_pt=7.5, colour=FAINT)


def _causes_at(line: LinePlan, chainage: Metre) -> Iterable[str]:
    return {cause for section in line.sections for end in (section.start, section.end)
            if abs(end.chainage_m - chainage) < 1e-6 for cause in end.causes}


def _runs_table(basis: Basis, line: LinePlan, flow: Flow) -> None:
    measures = basis.measures
    unit = measures.length_unit
    rows = [Row((s.id, kind_of(s), measures.number(s.from_m), measures.number(s.to_m), measures.number(s.plan_length_m),
                 measures.number(s.slope_length_m), measures.plus_minus(s.length_sd_m),
                 f"{degrees_text(s.grade_min_deg)} to {degrees_text(s.grade_max_deg)}"))
            for s in line.sections]
    ground = line.ground
    rows.append(Row(("total", "", "", "", measures.number(float(ground.chainage_m[-1])),
                     measures.number(float(ground.slope_m[-1])), "", ""), "strong"))
    flow.heading("Length of each run")
    flow.table(Table((
        Column("Section", weight="semibold"), Column("What"), Column(f"From {unit}", "right"),
        Column(f"To {unit}", "right"), Column(f"Plan length {unit}", "right"),
        Column(f"Slope length {unit}", "right", weight="semibold"), Column("Standard deviation", "right"),
        Column("Grades")), tuple(rows)))
