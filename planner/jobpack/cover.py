"""The cover: what the job is, its sums, what to look at first, and which sheets follow."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from planner.jobpack.basis import Basis, accuracy_text
from planner.jobpack.findings_sheet import where_text
from planner.jobpack.map_drawing import job_extent
from planner.jobpack.map_figure import map_figure
from planner.jobpack.page.flow import Flow
from planner.jobpack.page.form import Form
from planner.jobpack.page.lettering import fitted_size, line_height, paragraph, wrapped
from planner.jobpack.page.measures import grouped
from planner.jobpack.page.records import FAINT, Page
from planner.jobpack.page.table import Column, Row, Table, rows_of
from planner.loads.cautions import ADVISORY, cautions_for
from planner.wording import counted

_MAP_MM, _LEAST_MAP_MM, _MAP_RIM_MM = 66.0, 40.0, 2.5
"""Height of the map, how low it may be made to keep the cover on one page, and what stands round it. [mm]"""
_INDEX_ROW_MM = 5.6
"""Height of a row of the index, which stands on one page in whole. [mm]"""


def cover_pages(basis: Basis, sheets: Sequence[tuple[str, int]] = ()) -> tuple[Page, ...]:
    """The cover of a job pack.

    Args:
        basis: Basis of the sheets.
        sheets: Title and page of each document that follows.
    """
    height = _MAP_MM
    if basis.plan.lines:
        without = _laid_out(basis, sheets, 0.0)
        left = without.room if not without.has_pages else 0.0
        height = min(_MAP_MM, left - _MAP_RIM_MM) if left >= _LEAST_MAP_MM + _MAP_RIM_MM else _MAP_MM
    return _laid_out(basis, sheets, height).pages()


def _laid_out(basis: Basis, sheets: Sequence[tuple[str, int]], map_mm: float) -> Flow:
    """The cover with a map of a height, without one where that is 0."""
    flow = Flow(Form("A4"), "Job pack")
    _name(basis, flow)
    if basis.plan.lines:
        if map_mm:
            map_figure(basis, flow, job_extent(basis), height=map_mm)
        _lines(basis, flow)
    _sums(basis, flow)
    _look_first(basis, flow)
    if sheets:
        _sheets(flow, sheets)
    _cautions(basis, flow)
    return flow


def _name(basis: Basis, flow: Flow) -> None:
    form = flow.form
    name = basis.plan.job.name
    size = max(14.0, fitted_size(name, width=form.inner_width, size_pt=22.0, weight="bold"))
    lines = wrapped(name, width=form.inner_width, size_pt=size, weight="bold")
    flow.put(paragraph(form.left, flow.y + 0.5, name, width=form.inner_width, size_pt=size, weight="bold"),
             len(lines) * line_height(size) + 1.0)


def _lines(basis: Basis, flow: Flow) -> None:
    measures = basis.measures
    unit = measures.length_unit
    rows: list[Row] = []
    sums = [0.0, 0.0]
    counts = [0] * 6
    for line in basis.plan.lines:
        ends = sum(len(work.assemblies) for work in line.works)
        gates = sum(s.is_gate for s in line.sections)
        crossings = sum(s.is_crossing for s in line.sections)
        joins = sum(len(run.joins) for run in line.joins.values())
        numbers = [len(line.joins), joins, ends, len(line.posts), gates, crossings]
        lengths = [float(line.ground.slope_m[-1]), float(line.ground.chainage_m[-1])]
        sums = [a + b for a, b in zip(sums, lengths, strict=True)]
        counts = [a + b for a, b in zip(counts, numbers, strict=True)]
        rows.append(Row((line.code, line.line.name, line.fence.name, *(measures.number(x) for x in lengths),
                         *(grouped(n, 0) for n in numbers))))
    if len(rows) > 1:
        rows.append(Row(("", "all lines", "", *(measures.number(x) for x in sums), *(grouped(n, 0) for n in counts)),
                        "strong"))
    flow.table(Table((
        Column("", weight="bold", grow=0), Column("Line", weight="semibold"), Column("Fence"),
        Column(f"Slope {unit}", "right", "semibold", 0), Column(f"Plan {unit}", "right", grow=0),
        Column("Strains", "right", grow=0), Column("Mid-run joins", "right", grow=0, least=12.0),
        Column("Ends", "right", grow=0), Column("Posts", "right", grow=0), Column("Gates", "right", grow=0),
        Column("Crossings", "right", grow=0)), tuple(rows), size_pt=7.8))


def _sums(basis: Basis, flow: Flow) -> None:
    plan, measures = basis.plan, basis.measures
    cost = plan.estimate
    money = f"{cost.currency} {cost.total:,.2f}".replace(",", "\u202f")
    if not cost.rows:
        words = "Nothing to price."
    elif cost.complete:
        words = f"Materials and labour {money}, tax included."
    else:
        missing = counted(len(cost.missing), "item has no price", "items have no price")
        words = f"Cost INCOMPLETE: {missing}; those that have come to {money}, tax included."
    hours = sum(row.hours for row in plan.labour)
    flow.text(f"{words} {grouped(hours, 0)} person-hours on prepared line. {measures.mass(plan.carting.total_kg)} to "
              f"cart, {plan.carting.loads} loads of {measures.mass(plan.job.settings.trailer_payload_kg)} by mass.",
              size_pt=9.0, weight="semibold")
    accuracy = accuracy_text(plan.lines, measures).capitalize()
    flow.text(f"Lengths follow the ground. {accuracy}.", size_pt=8.0, colour=FAINT)


def _look_first(basis: Basis, flow: Flow) -> None:
    found = [f for f in basis.plan.findings if not f.waived]
    count = Counter(f.severity for f in found)
    flow.heading("To look at: " + ", ".join(counted(count[severity], severity) for severity in (
        "error", "warning", "note")))
    worst = [f for f in found if f.severity != "note"][:6]
    for finding in worst:
        flow.text(f"{where_text(basis, finding)}: {basis.said(finding.message)}", size_pt=8.0,
                  bullet="ERROR" if finding.severity == "error" else "Warning")
    rest = count["error"] + count["warning"] - len(worst)
    if rest:
        flow.text(f"and {rest} more, see the sheet 'To look at'.", size_pt=8.0, colour=FAINT)


def _sheets(flow: Flow, sheets: Sequence[tuple[str, int]]) -> None:
    tall = (len(sheets) + 2) // 3
    flow.heading("Sheets", keep_with=_INDEX_ROW_MM * (tall + 1))
    cells = [[*sheets[k * tall:(k + 1) * tall]] for k in range(3)]
    rows = []
    for k in range(tall):
        row: list[str] = []
        for column in cells:
            title, page = column[k] if k < len(column) else ("", 0)
            row += [title, f"page {page}" if title else ""]
        rows.append(row)
    columns = (Column("", grow=1.0), Column("", weight="semibold", grow=0.6)) * 3
    flow.table(Table(columns, rows_of(rows), size_pt=8.0))


def _cautions(basis: Basis, flow: Flow) -> None:
    """What can hurt people, each with its source; the advisory note last."""
    found = {caution.key: caution for line in basis.plan.lines for caution in cautions_for(line.fence)}
    found.pop(ADVISORY.key, None)
    flow.heading("Before anyone lifts a tool")
    for caution in found.values():
        flow.text(f"{caution.text} ({caution.source})", size_pt=6.9, bullet="–")
    flow.text(f"{ADVISORY.text} Map lines are not boundaries: only a licensed surveyor fixes a boundary.", size_pt=7.6,
              weight="semibold")
