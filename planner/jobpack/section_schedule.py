"""The section schedule: every strain, gate and crossing of every line in one table."""

from __future__ import annotations

from planner.job.plan import LinePlan
from planner.jobpack.basis import Basis, accuracy_text, end_text, kind_of, without_folders
from planner.jobpack.page.flow import Flow
from planner.jobpack.page.form import Form
from planner.jobpack.page.measures import degrees_text, grouped
from planner.jobpack.page.records import FAINT, Page
from planner.jobpack.page.table import Column, Row, Table
from planner.sections.strains import Section


def section_schedule_pages(basis: Basis) -> tuple[Page, ...]:
    """Every section with its ends, lengths, pull, take-up and joins.

    Args:
        basis: Basis of the sheets.
    """
    flow = Flow(Form("A4", landscape=True), "Section schedule", about="")
    for line in basis.plan.lines:
        _line(basis, line, flow)
    flow.text("A strain runs from strainer to strainer. Lengths follow the ground; ± is one standard deviation of the "
              "slope length. Pull, far end and take-up: advisory. Far end: share of the pull that reaches it past the "
              "friction of posts.", size_pt=7.5, colour=FAINT)
    return flow.pages()


def _line(basis: Basis, line: LinePlan, flow: Flow) -> None:
    measures = basis.measures
    unit = measures.length_unit
    flow.heading(f"{line.line.name}: {line.fence.name}")
    ground = line.ground
    flow.text(f"{'Closed line' if line.line.closed else 'Line'}, {measures.length(float(ground.slope_m[-1]))} along "
              "the "
              f"ground, {measures.length(float(ground.chainage_m[-1]))} in plan; fence "
              f"{measures.height(line.fence.height_m)}"
              f" high; pull of all wires {measures.force(line.fence.pull_n)} at "
              f"{measures.height(line.fence.pull_height_m)}; {accuracy_text([line], measures)}."
              + (f" Wires on the {line.line.wires_on}, looking along the line." if line.line.wires_on else "")
              + (f" From {without_folders(line.line.origin)}." if line.line.origin else ""), size_pt=8.0)
    flow.table(Table((
        Column("Section", weight="bold", grow=0), Column("What", grow=0), Column(f"From {unit}", "right", grow=0),
        Column(f"To {unit}", "right", grow=0), Column(f"Slope {unit}", "right", "semibold", 0),
        Column("±", "right", grow=0), Column("Grade", "right", grow=0), Column("Start"), Column("End"),
        Column("Far end", "right", grow=0), Column("Take-up", "right", grow=0), Column("Clamp at", "right", grow=0),
        Column("Bites", "right", grow=0), Column("Joins at", grow=1.5)),
        tuple(_row(basis, line, section) for section in line.sections), size_pt=7.2))


def _row(basis: Basis, line: LinePlan, section: Section) -> Row:
    measures = basis.measures
    fixed = (section.id, kind_of(section), measures.number(section.from_m), measures.number(section.to_m),
             measures.number(section.slope_length_m), measures.plus_minus(section.length_sd_m).lstrip("±"))
    ends = (end_text(basis, section.start), end_text(basis, section.end))
    run, pull = line.joins.get(section.id), line.pulls.get(section.id)
    if run is None or pull is None:
        return Row((*fixed, "–", *ends, "–", "–", "–", "–", "–"))
    least = min((s.far_end_ratio for s in run.sub_runs), default=1.0)
    joins = [f"{measures.number(j.chainage_m)} ({j.kind if j.kind != 'both' else 'mid-run, roll'})"
             for j in basis.joins.get(section.id, ())]
    return Row((*fixed, f"{degrees_text(section.grade_min_deg)} to {degrees_text(section.grade_max_deg)}", *ends,
                f"{grouped(100 * least, 0)} %", measures.short(pull.take_up_m),
                measures.short(pull.clamp_station_m) if pull.bites else "–", str(pull.bites) if pull.bites else "–",
                ", ".join(joins) or "none"))
