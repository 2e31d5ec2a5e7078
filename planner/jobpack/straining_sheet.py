"""The straining sheet: one page a section, to take outside, with boxes to tick and blanks to fill."""

from __future__ import annotations

from functools import lru_cache

from planner.job.plan import LinePlan
from planner.jobpack.basis import Basis, accuracy_text, end_text, strained
from planner.jobpack.fence_drawing import draw_fence
from planner.jobpack.page.flow import Flow
from planner.jobpack.page.form import Form
from planner.jobpack.page.lettering import fitted_size, line_height, paragraph, text_width
from planner.jobpack.page.measures import degrees_text, grouped
from planner.jobpack.page.records import FAINT, Align, Mark, Page, Stroke, Text
from planner.jobpack.page.table import BLANK, TICK, Column, Row, Table, rows_of
from planner.jobpack.straining_facts import (
    Fit,
    Goods,
    JoinPlace,
    NamedPost,
    cuts_by_section,
    end_force_words,
    join_places,
    join_words,
    posts_in,
    take_offs_by_section,
)
from planner.jobpack.straining_steps import before, blanks, boxes, cautions, pouch_and_cuts, stand_clear
from planner.jobpack.strip_drawing import StripFrame, draw_strip, exaggeration_words
from planner.jobpack.wire_order import ORDER_SOURCE, WireStep, straining_order
from planner.loads.wire_tension import TABLE_TEMPERATURES_C, temperature_table
from planner.sections.strains import Section
from planner.units import KGF_N

_FITS = (
    Fit(66.0, 62.0, 8.4, 5.6, 8.0, True), Fit(57.0, 50.0, 7.6, 4.9, 7.4, True), Fit(53.0, 44.0, 7.4, 4.5, 7.2, True),
    Fit(52.0, 41.0, 7.0, 4.2, 7.0, False), Fit(50.0, 36.0, 6.4, 4.0, 6.4, False),
    Fit(40.0, 34.0, 6.2, 3.8, 6.2, False, noted=False))
_FIT_OVER_TWO = 2


@lru_cache(maxsize=1)
def straining_pages(basis: Basis) -> tuple[Page, ...]:
    """One page for each strained section, in order along each line. Kept for the next document of the same basis.

    Args:
        basis: Basis of the sheets.
    """
    quantities, cuts = take_offs_by_section(basis.plan.materials), cuts_by_section(basis.plan.roll_plans)
    return tuple(page for line in basis.plan.lines if line.fence.pull_n > 0.0 for section in strained(line)
                 for page in _section_pages(basis, line, section, Goods(quantities.get(section.id, {}),
                                                                         cuts.get(section.id, {}))))


def _section_pages(basis: Basis, line: LinePlan, section: Section, goods: Goods) -> tuple[Page, ...]:
    """One page where it goes on one, in the roomiest layout that does; else a roomy one over two."""
    posts = posts_in(line, section)
    laid = []
    for fit in _FITS:
        laid.append(_laid_out(basis, line, section, goods, posts, fit))
        if len(laid[-1]) == 1:
            return laid[-1]
    return laid[_FIT_OVER_TWO]


def _laid_out(basis: Basis, line: LinePlan, section: Section, goods: Goods, posts: list[NamedPost],
              fit: Fit) -> tuple[Page, ...]:
    flow = Flow(Form("A4"), f"Straining sheet, section {section.id}", about=accuracy_text([line], basis.measures))
    steps = straining_order(line.fence)
    stand_clear(flow)
    _top(basis, line, section, flow, fit)
    _drawing_and_figures(basis, line, section, steps, flow, fit)
    _wires_table(basis, line, section, steps, flow, fit)
    _strip(basis, line, section, flow, fit)
    _parts(basis, line, section, flow, fit)
    _joins(basis, line, section, posts, flow, fit)
    before(basis, line, posts, flow, fit)
    pouch_and_cuts(basis, line, goods, flow, fit)
    boxes(basis.measures, line, posts, flow, fit, is_joined=bool(basis.joins.get(section.id)))
    blanks(basis, flow)
    cautions(line, flow)
    return flow.pages()


def _top(basis: Basis, line: LinePlan, section: Section, flow: Flow, fit: Fit) -> None:
    measures, form = basis.measures, flow.form
    size = 24.0
    aside = text_width(section.id, size_pt=size, weight="bold") + 5.0
    room = form.inner_width - aside
    side = f" · wires on the {line.line.wires_on}, looking along the line" if line.line.wires_on else ""
    words = (f"{line.line.name} · {line.fence.name}{side}",
             f"{measures.number(section.from_m)} to {measures.length(section.to_m)} along the line; slope length "
             f"{measures.length(section.slope_length_m)} {measures.plus_minus(section.length_sd_m)} "
             f"{measures.length_unit}; grade {degrees_text(section.grade_min_deg)} to "
             f"{degrees_text(section.grade_max_deg)}",
             f"Start: {end_text(basis, section.start)}. End: {end_text(basis, section.end)}.",
             end_force_words(basis, line, section) if fit.noted else "")
    marks: list[Mark] = [Text(form.left, flow.y + 7.5, section.id, size, "bold")]
    y = flow.y
    for text, pt, weight in zip(words, (9.5, 8.0, 8.0, 7.0), ("semibold", *("regular",) * 3), strict=True):
        if not text:
            continue
        texts = paragraph(form.left + aside, y, text, width=room, size_pt=pt, weight=weight)  # type: ignore[arg-type]
        marks += texts
        y += len(texts) * line_height(pt) + 0.3
    flow.put(marks, max(y - flow.y, 9.5) + 1.0)


def _drawing_and_figures(basis: Basis, line: LinePlan, section: Section, steps: tuple[WireStep, ...],
                         flow: Flow, fit: Fit) -> None:
    form = flow.form
    wide = 98.0
    tall = max(fit.drawing, 3.2 * sum(len(step.wires) for step in steps) + 8.0)
    marks = draw_fence(line.fence, steps, basis.measures, x=form.left, y=flow.y, width=wide, height=tall)
    x, y = form.left + wide + 3.0, flow.y + 1.0
    room = form.right - x
    for title, value, note in _figures(basis, line, section):
        pt = 11.0
        marks.append(Text(x, y + 3.2, title, 7.5, "regular", "left", FAINT))
        marks.append(Text(form.right, y + 3.5, value, pt, "bold", "right"))
        y += 4.6
        if note and fit.noted:
            texts = paragraph(x, y - 0.1, note, width=room, size_pt=6.8, colour=FAINT)
            marks += texts
            y += len(texts) * line_height(6.8)
        marks.append(Stroke(((x, y + 0.3), (form.right, y + 0.3)), 0.1, FAINT))
        y += 0.9
    flow.put(marks, max(tall, y - flow.y) + 1.5)


def _figures(basis: Basis, line: LinePlan, section: Section) -> list[tuple[str, str, str]]:
    measures, settings = basis.measures, basis.plan.job.settings
    pull, run, fence = line.pulls[section.id], line.joins[section.id], line.fence
    hands = f"{measures.hand_force(fence.pull_n)}, " if measures.is_metric else ""
    found = [("Total pull on the end", measures.force(fence.pull_n),
              f"{hands}acting {measures.height(fence.pull_height_m)} above the ground; two thirds: "
              f"{measures.force(fence.pull_n * 2 / 3)}")]
    if pull.bites:
        where = "from the join, each side" if run.joins else "from the end post"
        bar = "; two or three on the bar" if fence.mesh is not None else ""
        found += [("Take-up", measures.short(pull.take_up_m), _take_up_note(basis, line, section)),
                  ("Set the clamp bar at", measures.short(pull.clamp_station_m),
                   f"{where}; it ends {measures.short(settings.tie_off_gap_m)} clear after each bite"),
                  ("Bites of the chain strainers", str(pull.bites),
                   f"each within {measures.short(settings.usable_travel_m)} of travel{bar}" if pull.bites == 1 else
                   "hold with a second clamp, set the bar back to the same place, pull again")]
    least = min((s.far_end_ratio for s in run.sub_runs), default=1.0)
    found.append(("Tension left at the far end", f"{grouped(100 * least, 0)} %",
                  f"friction round posts; wanted {grouped(100 * settings.far_end_ratio_min, 0)} % or more"))
    if fence.mesh is not None and fence.mesh.crimp_amplitude_m > 0.0:
        left = settings.crimp_left_share
        deep = fence.mesh.crimp_amplitude_m * 1000
        after = f", {grouped(deep, 1)} mm becomes {grouped(deep * left, 1)}" if measures.is_metric else ""
        found.append(("Picket check", f"crimp {_share(left)} gone",
                      f"it keeps about {_share(left)} of its depth{after}; ⅓ to ⅔ will do"))
    return found


def _share(left: float) -> str:
    return "half" if abs(left - 0.5) < 1e-9 else f"{grouped(100 * left, 0)} %"


def _take_up_note(basis: Basis, line: LinePlan, section: Section) -> str:
    runs = line.joins[section.id].sub_runs
    if line.fence.mesh is None:
        return "how far the wire comes in: stretch alone"
    parts = "longest part, " if len(runs) > 1 else ""
    return f"how far the mesh comes in: {parts}stretch and crimp"


def _wires_table(basis: Basis, line: LinePlan, section: Section, steps: tuple[WireStep, ...], flow: Flow,
                 fit: Fit) -> None:
    measures, settings, fence = basis.measures, basis.plan.job.settings, line.fence
    rows_c = temperature_table(fence, basis.plan.catalogue.items, length_m=section.slope_length_m, settings=settings)
    rows = []
    for step in steps:
        heights = [h for h, _ in step.wires]
        height = measures.height_number(heights[0]) if len(heights) == 1 else (
            f"{measures.height_number(heights[0])} to {measures.height_number(heights[-1])}")
        place = next((k for k, s in enumerate(fence.strands) if (s.height_m, s.name) == step.wires[0]), -1)
        each = [row.mesh_wire_n if step.what == "mesh" else row.strands[place][1] for row in rows_c]
        name = f"{step.name}, {step.count} wires, each" if step.count > 1 else step.name
        rows.append(Row((str(step.number), name + (f", {step.note}" if step.note else ""), height,
                         measures.force_number(step.tension_n), *_hands(basis, step.tension_n),
                         *(measures.force_number(n or 0.0) for n in each), BLANK, TICK)))
    rows.append(Row(("", "total pull of all wires", "", measures.force_number(fence.pull_n),
                     *_hands(basis, fence.pull_n), *(measures.force_number(row.total_n) for row in rows_c), "", ""),
                    "strong"))
    hands = (Column("= kgf", "right", grow=0),) if measures.is_metric else ()
    flow.table(Table((
        Column("Turn", "middle", "bold", 0), Column("Wire", weight="semibold", grow=1), Column(
            f"Height {measures.height_unit}", "right", grow=0),
        Column(f"Strain {measures.force_unit}", "right", "bold", 0), *hands,
        *(Column(measures.temperature(t), "right", grow=0) for t in TABLE_TEMPERATURES_C),
        Column("Measured", grow=0, least=15.0), Column("Done", "middle", grow=0)),
        tuple(rows), size_pt=fit.table, tall=5.6))
    rigid = " between rigid ends (real swings are smaller)" if settings.end_yield_mm_per_kn == 0.0 else ""
    flow.text(f"Tension of each wire by wire temperature, set at {measures.temperature(settings.setting_temperature_c)}"
              f"{rigid}. Check the first wire again: the ends move as load comes on. {ORDER_SOURCE}", size_pt=6.4,
              colour=FAINT)


def _hands(basis: Basis, newtons: float) -> tuple[str, ...]:
    return (grouped(newtons / KGF_N, 0),) if basis.measures.is_metric else ()


def _strip(basis: Basis, line: LinePlan, section: Section, flow: Flow, fit: Fit) -> None:
    form = flow.form
    flow.need(fit.strip + 4.0)
    drawn = draw_strip(basis, line, StripFrame(form.left, flow.y + 3.5, form.inner_width, fit.strip - 4.5,
                                               section.from_m, section.to_m, banded=False, short=True))
    head = f"The section in profile, {exaggeration_words(drawn.exaggeration)}. {_lean_words(line, section)}"
    flow.put([Text(form.left, flow.y + 2.4, head, 7.2, "semibold"), *drawn.marks], fit.strip)


def _lean_words(line: LinePlan, section: Section) -> str:
    runs = line.joins[section.id].sub_runs
    if line.fence.mesh is None or not runs:
        return ""
    worst = max(run.lean_max_deg for run in runs)
    return (f"Pickets lean up to {grouped(worst, 1)}° off plumb ({grouped(line.fence.mesh.lean_limit_deg, 0)}° is the "
            "limit; our own model).")


def _parts(basis: Basis, line: LinePlan, section: Section, flow: Flow, fit: Fit) -> None:
    """What is strained by itself, where a join parts the section."""
    measures, has_mesh = basis.measures, line.fence.mesh is not None
    runs = line.joins[section.id].sub_runs
    if len(runs) < 2:
        return
    cells = [(f"{k + 1}", f"{measures.number(s.from_m)} to {measures.number(s.to_m)}",
              measures.length(s.slope_length_m), degrees_text(s.grade_ref_deg) if has_mesh else "–",
              f"{grouped(s.lean_max_deg, 1)}°" if has_mesh else "–", f"{grouped(100 * s.far_end_ratio, 0)} %",
              measures.short(s.take_up_m)) for k, s in enumerate(runs)]
    titles = ("Part", f"Chainage {measures.length_unit}", "Slope length", "Mesh set for grade", "Picket lean",
              "Far end", "Take-up")
    if fit.tabled:
        aligns: tuple[Align, ...] = ("middle", "left", "right", "right", "right", "right", "right")
        columns = tuple(Column(title, align) for title, align in zip(titles, aligns, strict=True))
        flow.table(Table(columns, rows_of(cells), size_pt=fit.table))
        return
    words = [f"Part {number}: {at}, {length}" + (f", set for {grade}, lean {lean}" if has_mesh else "")
             + f", far end {far}, take-up {take}" for number, at, length, grade, lean, far, take in cells]
    form, step = flow.form, line_height(fit.text) + 0.4
    rows = (len(words) + 1) // 2
    flow.need(rows * step)
    flow.put([Text(form.left + (k // rows) * form.inner_width / 2, flow.y + (k % rows) * step + 2.4, text,
                   fitted_size(text, width=form.inner_width / 2 - 2.0, size_pt=fit.text))
              for k, text in enumerate(words)], rows * step + 0.6)


def _joins(basis: Basis, line: LinePlan, section: Section, posts: list[NamedPost], flow: Flow, fit: Fit) -> None:
    measures = basis.measures
    places = join_places(basis, line, section, posts)
    if not places:
        flow.text("No mid-run join: one run from end to end. Strain from the end with the better footing; mark which: "
                  "start / end.", size_pt=fit.text)
        return
    has_mesh = line.fence.mesh is not None
    rows = [Row((measures.number(p.join.chainage_m), measures.length(p.from_start_m),
                 f"{p.before} and {p.after}", _join_words(p.join.kind),
                 measures.short(p.join.top_bottom_allowance_m) if p.join.kind != "roll" and has_mesh else "–",
                 _why(basis, p), TICK)) for p in places]
    flow.table(Table((Column(f"Join at {measures.length_unit}", "right", "bold", 0),
                      Column("From start", "right", grow=0), Column("Between posts", grow=0, least=27.0),
                      Column("What", grow=0, least=24.0), Column("Top/bottom\nallowance", "right", grow=0),
                      Column("Why here", grow=3), Column("Done", "middle", grow=0)), tuple(rows), size_pt=fit.table))
    note = join_words(line, [p.join for p in places]) if fit.noted else ""
    if note:
        flow.text(note, size_pt=6.4, colour=FAINT)


def _why(basis: Basis, place: JoinPlace) -> str:
    if place.join.kind == "roll":
        return "a roll ends here"
    words = "; ".join(place.join.reasons)
    return basis.said(words.replace(" (this program's own model of common practice)", ""))


def _join_words(kind: str) -> str:
    return {"mid-run": "strain both ways", "roll": "roll join, on the flat",
            "both": "roll ends; strain both ways"}[kind]
