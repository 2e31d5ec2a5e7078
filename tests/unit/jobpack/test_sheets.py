"""Every document of the job pack: what it must say, and that it goes on its pages without a clash."""

from __future__ import annotations

import re
from datetime import date

import numpy as np
import pytest
from full_jobs import full_job
from page_checks import missing_letters, off_paper, overlaps, past_margin, texts, words
from sheet_jobs import LONG_GATE, LONG_NAME, many_corners_job, planned, ridge_job

from planner.alignment.line import FenceLine, Side
from planner.files.sample_farm import sample_job
from planner.job.job import Job
from planner.job.plan import JobPlan
from planner.jobpack.basis import Basis, basis_of, strained
from planner.jobpack.cover import cover_pages
from planner.jobpack.job_pack_pdf import SHEETS, job_pack_pages, straining_sheet_pages
from planner.jobpack.map_drawing import shorter
from planner.jobpack.page.form import MARGIN_MM, SheetChoice
from planner.jobpack.page.furniture import SAFETY
from planner.jobpack.page.measures import pieces_down, pieces_up
from planner.jobpack.page.records import Page, Stroke, Symbol, every_mark
from planner.jobpack.page.spread import text_shape

DAY = date(2026, 3, 7)


@pytest.fixture(scope="module")
def sample() -> JobPlan:
    return planned(sample_job())


@pytest.fixture(scope="module")
def ridge() -> JobPlan:
    return planned(ridge_job())


@pytest.fixture(scope="module")
def plans(sample: JobPlan, ridge: JobPlan) -> dict[str, JobPlan]:
    kinds = ("exclusion-mesh", "electric-7", "post-and-rail", "rabbit-netting", "temporary-electric")
    return {"sample": sample, "ridge": ridge, "corners": planned(many_corners_job(40)), "full": planned(full_job()),
            **{kind: planned(many_corners_job(3, kind)) for kind in kinds}}


def basis(plan: JobPlan, units: str = "metric", drawings: str = "A4") -> Basis:
    return basis_of(plan, SheetChoice(units=units, drawings=drawings, dated=DAY))  # type: ignore[arg-type]


def sheet(plan: JobPlan, key: str, units: str = "metric") -> tuple[Page, ...]:
    return next(s for s in SHEETS if s.key == key).pages(basis(plan, units))


@pytest.mark.parametrize("name", ["sample", "ridge", "corners", "full", "exclusion-mesh", "electric-7", "post-and-rail",
                                  "rabbit-netting", "temporary-electric"])
@pytest.mark.parametrize(("units", "drawings"), [("metric", "A4"), ("imperial", "A3")])
def test_nothing_clashes_or_leaves_the_page(plans: dict[str, JobPlan], name: str, units: str, drawings: str) -> None:
    for number, page in enumerate(job_pack_pages(basis(plans[name], units, drawings))):
        where = f"page {number + 1}, {page.title}"
        assert not overlaps(page), where
        assert not off_paper(page), where
        assert not past_margin(page), where
        assert not missing_letters(page), where


def test_every_page_carries_its_head_and_foot(sample: JobPlan) -> None:
    pages = job_pack_pages(basis(sample))
    for number, page in enumerate(pages):
        said = words((page,))
        assert "Sample farm" in said
        assert page.title in said
        assert "7 March 2026" in said
        assert "GDA2020 / MGA zone 55 (EPSG:7855)" in said
        assert "corner accuracy: " in said
        assert f"page {number + 1} of {len(pages)}" in said
        assert SAFETY[:40] in said
        assert "Loads and tensions are advisory" in said
        assert "Not a boundary survey." in said


def test_sheets_stand_in_order_and_the_cover_names_their_pages(sample: JobPlan) -> None:
    pages = job_pack_pages(basis(sample))
    said = words(pages[:2])
    for shown in SHEETS:
        assert shown.title in said
    first = next(k for k, page in enumerate(pages) if page.title.startswith("Set-out"))
    cover = [text.text for page in pages[:2] for text in texts(page)]
    assert cover[cover.index("Set-out") + 1] == f"page {first + 1}"


def test_the_cover_keeps_to_one_page_by_a_lower_map(sample: JobPlan) -> None:
    pages = cover_pages(basis_of(sample), [(sheet.title, 2) for sheet in SHEETS])
    assert len(pages) == 1
    assert "licensed surveyor" in words(pages)


def test_long_names_on_maps_are_cut_where_the_whole_has_no_room(plans: dict[str, JobPlan]) -> None:
    named = {text.text for page in sheet(plans["full"], "plan") for text in texts(page)}
    assert any(text.startswith("Farm dam") and text.endswith("…") for text in named)
    assert [shorter("Bore"), shorter("x" * 40)] == ["Bore", "x" * 27 + "…"]


def test_cover_says_when_the_cost_is_incomplete(ridge: JobPlan) -> None:
    said = words(job_pack_pages(basis(ridge))[:2])
    assert "Cost INCOMPLETE" in said
    assert "only a licensed surveyor fixes a boundary" in said


def test_straining_sheet_is_one_page_a_section(sample: JobPlan) -> None:
    pages = sheet(sample, "straining")
    ids = [section.id for line in sample.lines for section in strained(line)]
    assert [page.title for page in pages] == [f"Straining sheet, section {name}" for name in ids]


@pytest.mark.parametrize("said", [
    "SMALL", "OPENINGS", "DOWN", "Total pull on the end", "11.33 kN", "above the ground", "two thirds", "Take-up",
    "Set the clamp bar at", "Bites of the chain strainers", "Picket check", "crimp half gone", "Turn", "Measured",
    "−10 °C", "50 °C", "total pull of all wires", "mesh, 8 wires, each, top and bottom together", "1.08", "110",
    "Join at m", "Between posts", "Top/bottom", "Fix first, and the guide wire to them", "In the pouch",
    "termination knots", "tail of 150 mm", "Crimp sleeve", "leave at each end", "Air temperature °C",
    "Measured pull kN", "Date", "Name", "Re-strain date", "1 to 4 weeks", "Keep out of the line of pull",
    "advisory", "heights drawn", "off plumb", "ties loose", "joined flat, on the stock side",
    "Lengths to cut", "3 ties a steel post", "first end tied off"])
def test_straining_sheet_says(sample: JobPlan, said: str) -> None:
    assert said in words(sheet(sample, "straining")[:1]).replace("  ", " ")


def test_straining_sheet_takes_its_figures_from_the_plan(sample: JobPlan) -> None:
    line = sample.lines[0]
    section = strained(line)[3]
    said = words((sheet(sample, "straining")[3],))
    pull = line.pulls[section.id]
    assert f"{pull.take_up_m:.2f} m" in said
    assert f"{pull.clamp_station_m:.2f} m" in said
    assert f"slope length {section.slope_length_m:.1f} m" in said
    knots = 2 * (line.fence.mesh.line_wires + 2) if line.fence.mesh else 0
    assert f"{knots} termination knots" in said


def test_straining_sheet_says_what_the_bracing_of_its_ends_carries(sample: JobPlan) -> None:
    line = sample.lines[0]
    box, pull, high = sample.catalogue.assemblies["single-box"], line.fence.pull_n, line.fence.pull_height_m
    rail, lift = pull * high / box.rail_height_m, pull * high / box.brace_length_m  # moments about the foot
    brace = rail / np.cos(np.arctan2(box.rail_height_m, box.brace_length_m))  # the rail's thrust, taken on a slope
    text = words((sheet(sample, "straining")[0],))
    assert (f"{box.description}: rail {rail / 1000:.2f} kN, brace wire {brace / 1000:.2f} kN, end post lifted by "
            f"{lift / 1000:.2f} kN") in text.replace("\xa0", " ")


def test_straining_sheet_says_how_long_a_join_takes_where_there_is_one(plans: dict[str, JobPlan]) -> None:
    pages = {page.title.rsplit(" ", 1)[1]: words((page,)) for page in sheet(plans["sample"], "straining")}
    assert "about 30 min for a roll join" in pages["A1"]
    assert "about 120 min for a join strained both ways and about 30 min for a roll join" in pages["A7"]
    assert "by the fence type's hours" not in pages["A19"], "no join there"
    assert "by the fence type's hours" not in words(sheet(plans["temporary-electric"], "straining"))


def test_hold_downs_come_before_straining() -> None:
    from dataclasses import replace

    from planner.alignment.line import GroundStretch

    job = ridge_job()
    soft = replace(job.lines[0], stretches=(GroundStretch(0.0, 1400.0, "dug"),))
    plan = planned(replace(job, lines=(soft,)))
    held = [name for line in plan.lines for name, load in zip(line.post_names, line.loads, strict=True)
            if load.hold_down not in ("none", "bridge the dip and infill", "separate section")]
    assert held
    said = words(sheet(plan, "straining"))
    assert "Hold down BEFORE straining:" in said
    assert f"{held[0]} at" in said


@pytest.mark.parametrize(("wires_on", "inside"), [("", 0), ("left", 1), ("right", 0)])
def test_a_slight_turn_is_told_with_the_side_on_which_its_wires_go(wires_on: Side, inside: int) -> None:
    turn = np.radians(5.0)
    xy = np.array([(455e3, 5951e3), (455.1e3, 5951e3), (455.1e3 + 100 * np.cos(turn), 5951e3 + 100 * np.sin(turn))])
    plan = planned(Job("j", "EPSG:7855", lines=(FenceLine("Bend", "general-mesh", xy, wires_on=wires_on),)))
    turned = [(name, load) for line in plan.lines for name, post, load in zip(
        line.post_names, line.posts, line.loads, strict=True) if post.kind == "deviation"]
    assert len(turned) == 1
    said = words(sheet(plan, "straining"))
    assert f"{turned[0][0]} at 100.0 m turns 5.0° left, {turned[0][1].side_n / 1000:.2f} kN sideways" in said.replace(
        "\u00a0", " ")
    assert said.count("wires on its INSIDE here") == inside


def test_the_head_stays_above_its_rule_however_many_accuracies_it_tells() -> None:
    for page in job_pack_pages(basis(planned(full_job()))):
        rule = next(mark.points[0][1] for mark in every_mark(page.marks)
                    if isinstance(mark, Stroke) and mark.width_mm == 0.5 and len(mark.points) == 2
                    and mark.points[0][0] < 14.0 and mark.points[1][0] > page.width - 14.0)
        head = [text for text in texts(page) if text.y < MARGIN_MM + 12.0 and text.align == "right"]
        assert head
        assert all(text.y < rule for text in head), page.title


def test_fence_without_strained_wire_gets_one_page_that_says_so(plans: dict[str, JobPlan]) -> None:
    pages = straining_sheet_pages(basis(plans["post-and-rail"]))
    assert len(pages) == 1
    assert "nothing to strain" in words(pages)


def test_set_out_sheet_leads_from_peg_to_peg(sample: JobPlan) -> None:
    said = words(sheet(sample, "set-out"))
    for line in sample.lines:
        for peg in line.pegs:
            assert f"{peg.x:.2f}" in said
    assert "see A002 from A001" in said
    assert "FINDER accuracy only" in said  # the walked division
    assert "Offset peg" in said


def test_bearing_and_distance_close_back_on_the_peg(sample: JobPlan) -> None:
    from planner.geometry.bearings import bearing_of, step_along
    from planner.jobpack.setout_sheet import following, ground_distance

    line = sample.lines[0]
    x, y = line.pegs[0].x, line.pegs[0].y
    for k, peg in enumerate(line.pegs):
        after = following(line, k)
        assert after is not None  # a closed line leads back to its first peg
        far = ground_distance(line, peg, after)
        if far > 0.01:
            leg = int(np.searchsorted(line.ground.chainage_m[line.ground.vertices], peg.chainage_m + 1e-9,
                                      side="right")) - 1
            east, north = step_along(bearing_of(after.x - peg.x, after.y - peg.y),
                                     far * float(line.ground.scale[min(leg, len(line.ground.scale) - 1)]))
            x, y = x + east, y + north
    assert np.hypot(x - line.pegs[0].x, y - line.pegs[0].y) < 0.05


def test_long_section_states_its_exaggeration_and_names_breaks(ridge: JobPlan) -> None:
    said = words(sheet(ridge, "long-section"))
    assert "heights drawn" in said
    assert "+18.8°" in said  # the dip at 520 m
    assert "−13.0°" in said  # the crest at 260 m
    assert "Hold-down" in said
    assert "Slope length m" in said


def test_plan_tiles_a_long_job_with_index_and_match_lines(sample: JobPlan) -> None:
    pages = sheet(sample, "plan")
    assert pages[0].title == "Plan, index of maps"
    said = words(pages)
    assert f"Plan, map {len(pages) - 1} of {len(pages) - 1}" in [page.title for page in pages]
    assert "match line: map 2" in said
    assert "Tallow Creek" in said
    assert all("Legend" in words((page,)) and "grid north up" in words((page,)) for page in pages)


def test_plan_of_a_small_job_is_one_sheet() -> None:
    pages = sheet(planned(many_corners_job(3)), "plan")
    assert [page.title for page in pages] == ["Plan"]
    assert "match line" not in words(pages)


def test_every_end_is_on_a_map(sample: JobPlan) -> None:
    pages = sheet(sample, "plan")[1:]
    drawn = sum(isinstance(mark, Symbol) and mark.kind == "corner" for page in pages for mark in every_mark(page.marks))
    corners = sum(peg.kind == "corner" for line in sample.lines for peg in line.pegs)
    assert drawn >= corners


def test_gate_and_crossing_schedule(sample: JobPlan, ridge: JobPlan) -> None:
    said = words(sheet(sample, "gates"))
    for name in ("G1", "G2", "G3", "G4", "X1", "X2", "X3"):
        assert name in said
    for head in ("Clear width", "Gate to hang", "Gate posts", "Hang side", "Swings", "Approach slope", "Span",
                 "Bed below banks", "Anchors"):
        assert head in said
    assert LONG_GATE.split()[0] in words(sheet(ridge, "gates"))


def test_materials_sheet_orders_what_the_plan_orders(sample: JobPlan) -> None:
    said = words(sheet(sample, "materials"))
    for row in sample.materials:
        assert row.description.split(",")[0] in said
    assert "40 × 200 m" in said or "× 200 m" in said
    for blank in ("Deliver to", "Required by", "Other accepted?", "Spares kept"):
        assert blank in said


def test_roll_sheet_names_every_piece(sample: JobPlan) -> None:
    said = words(sheet(sample, "rolls"))
    for plan in sample.roll_plans.values():
        for roll in plan.rolls:
            for cut in roll.cuts:
                assert cut.section in said
                assert f"{cut.length_m:.1f}" in said


def test_load_list_counts_up_to_the_payload(sample: JobPlan) -> None:
    said = words(sheet(sample, "loads"))
    assert "of 1500 kg" in said
    assert "OVER" not in said
    assert "two or machine" in said


def test_findings_sheet_has_every_finding(sample: JobPlan) -> None:
    said = words(sheet(sample, "findings"))
    for finding in sample.findings:
        assert finding.rule in said
    assert "/work" not in said
    assert "sample_data/" not in said


def test_imperial_sheets_hold_no_metric(ridge: JobPlan) -> None:
    for key in ("straining", "sections", "long-section", "set-out"):
        said = words(sheet(ridge, key, "imperial"))
        assert " kN" not in said, key
        assert "°C" not in said, key
        assert " ft" in said, key
    assert "lbf" in words(sheet(ridge, "straining", "imperial"))


def test_labels_on_maps_stand_inside_their_frame(sample: JobPlan) -> None:
    from planner.jobpack.page.records import Window

    for page in sheet(sample, "plan"):
        for window in (mark for mark in page.marks if isinstance(mark, Window)):
            for text in (m for m in every_mark(window.marks) if hasattr(m, "size_pt")):
                left, top, right, bottom = text_shape(text).bounds  # type: ignore[arg-type]
                assert window.x <= left <= right <= window.x + window.width
                assert window.y <= top <= bottom <= window.y + window.height


def test_a_job_without_lines_still_has_its_cover() -> None:
    pages = job_pack_pages(basis(planned(Job(name=LONG_NAME, crs="EPSG:7855"))))
    assert "Nothing to price." in words(pages)
    assert LONG_NAME in words(pages)


def test_same_plan_same_pages(ridge: JobPlan) -> None:
    assert job_pack_pages(basis(ridge)) == job_pack_pages(basis(ridge))


def test_what_is_counted_in_pieces_is_whole_and_adds_up(plans: dict[str, JobPlan]) -> None:
    for name in ("sample", "full"):
        plan = plans[name]
        listed = [text.text for page in sheet(plan, "materials") for text in texts(page)]
        for row in plan.materials:
            if row.unit == "each":
                waste, left = pieces_up("each", row.waste), pieces_down("each", row.left_over)
                assert waste >= row.waste - 1e-6
                assert row.net + waste + left == pytest.approx(row.order), row.item
        assert not [text for text in listed[:listed.index("Hours")] if re.fullmatch(r"[\d\u202f]+\.\d", text)]


def test_rails_are_bought_by_the_length_they_are_sold_in(plans: dict[str, JobPlan]) -> None:
    assert "96 × 4.8 m" in words(sheet(plans["full"], "materials"))
    assert "96 × 15.7 ft" in words(sheet(plans["full"], "materials", "imperial"))


def test_boxes_to_tick_speak_of_what_the_section_has(plans: dict[str, JobPlan]) -> None:
    pages = straining_sheet_pages(basis(plans["full"]))
    said = {page.title.rsplit(" ", 1)[-1]: words((page,)) for page in pages}
    assert "rise and dip posts in and held down" in said["C3"]
    assert "joined flat, on the stock side" in said["C3"]
    assert "rise and dip posts in and held down" not in said["A5"]
    assert "laid flat, on the stock side" in said["A5"]
    assert "joined flat" not in said["A5"]


def test_staples_are_weighed_in_the_units_of_the_sheet(plans: dict[str, JobPlan]) -> None:
    assert "0.47 kg Staples" in words(straining_sheet_pages(basis(plans["full"])))
    imperial = words(straining_sheet_pages(basis(plans["full"], "imperial")))
    assert "1.04 lb Staples" in imperial  # 0.47 kg / 0.45359237
    assert "kg Staples" not in imperial
