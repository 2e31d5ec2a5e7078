"""The gate and crossing schedule: what hangs in each opening, and what gap to leave in the wires."""

from __future__ import annotations

import numpy as np

from planner.job.plan import LinePlan
from planner.jobpack.basis import Basis
from planner.jobpack.page.flow import Flow
from planner.jobpack.page.form import Form
from planner.jobpack.page.measures import degrees_text
from planner.jobpack.page.records import FAINT, Page
from planner.jobpack.page.table import BLANK, Column, Row, Table
from planner.sections.strains import Section, SectionEnd
from planner.spec.crossings import floodgate_kit
from planner.spec.gates import gate_gap_m


def gate_schedule_pages(basis: Basis) -> tuple[Page, ...]:
    """Gates, then crossings; nothing where the job has neither.

    Args:
        basis: Basis of the sheets.
    """
    flow = Flow(Form("A4", landscape=True), "Gate and crossing schedule")
    gates = [(line, s) for line in basis.plan.lines for s in line.sections if s.is_gate]
    crossings = [(line, s) for line in basis.plan.lines for s in line.sections if s.is_crossing]
    if gates:
        _gates(basis, gates, flow)
    if crossings:
        _crossings(basis, crossings, flow)
    return flow.pages()


def _gates(basis: Basis, gates: list[tuple[LinePlan, Section]], flow: Flow) -> None:
    measures = basis.measures
    unit = measures.length_unit
    flow.heading("Gates")
    rows = []
    for line, section in gates:
        work = next(w for w in line.works if w.section.id == section.id)
        item = basis.plan.catalogue.items[work.gate_item]
        gap = gate_gap_m(section.plan_length_m, item)
        rows.append(Row((_name(line, section), section.id, line.line.name, measures.number(section.from_m, 2),
                         measures.number(section.to_m, 2), measures.short(section.plan_length_m), item.description,
                         measures.height(gap), _posts(basis, section.start), _grade_along(line, section), BLANK, BLANK,
                         BLANK)))
    flow.table(Table((
        Column("Gate", weight="bold", grow=0), Column("Section", grow=0), Column("Line"),
        Column(f"From {unit}", "right", grow=0), Column(f"To {unit}", "right", grow=0),
        Column("Clear width", "right", "semibold", 0), Column("Gate to hang"), Column("Gap left", "right", grow=0),
        Column("Gate posts"), Column("Slope along", "right", grow=0), Column("Hang side", grow=0, least=17.0),
        Column("Swings", grow=0, least=17.0), Column("Approach slope", grow=0, least=17.0)), tuple(rows), tall=7.0))
    flow.text("Leave the wires open between the two chainages; the runs on both sides end at the gate posts. Gates "
              "come "
              "in few widths: measure the gate before the second post goes in. Clear width must take the widest "
              "machine.", size_pt=7.8, colour=FAINT)


def _crossings(basis: Basis, crossings: list[tuple[LinePlan, Section]], flow: Flow) -> None:
    measures = basis.measures
    kit = floodgate_kit()
    unit = measures.length_unit
    flow.heading("Crossings")
    rows = []
    for line, section in crossings:
        depth = next((c.depth_m for c in line.line.crossings if c.name == _name(line, section)), None)
        rows.append(Row((_name(line, section), section.id, line.line.name, measures.number(section.from_m, 2),
                         measures.number(section.to_m, 2), measures.short(section.plan_length_m),
                         measures.short(depth) if depth is not None else measures.short(_bed_below(line, section)),
                         kit.description, f"{kit.cables} × {measures.short(kit.cable_length_m(section.plan_length_m))}",
                         f"{_posts(basis, section.start)} at each bank", BLANK)))
    flow.table(Table((
        Column("Crossing", weight="bold", grow=0), Column("Section", grow=0), Column("Line"),
        Column(f"From {unit}", "right", grow=0), Column(f"To {unit}", "right", grow=0),
        Column("Span", "right", "semibold", 0), Column("Bed below banks", "right", grow=0), Column("Type"),
        Column("Cable", grow=0), Column("Anchors"), Column("Permit", grow=0, least=18.0)), tuple(rows), tall=7.0))
    flow.text("The span hangs by itself between its own anchors, same top height, droppers tied at the top only, so "
              "that "
              "a flood takes the span and not the fence. The fence's wires end on both banks. Depth where none was "
              "measured: from the profile. Works in a watercourse may need a permit: ask before starting.",
              size_pt=7.8, colour=FAINT)


def _name(line: LinePlan, section: Section) -> str:
    """Name of the gate or crossing whose middle lies nearest to that of its section."""
    x, y = line.ground.place_at((section.from_m + section.to_m) / 2)
    openings = [(o.x, o.y, o.name) for o in (line.line.gates if section.is_gate else line.line.crossings)]
    return min(openings, key=lambda o: float(np.hypot(o[0] - x, o[1] - y)))[2]


def _posts(basis: Basis, end: SectionEnd) -> str:
    assembly = basis.plan.catalogue.assemblies.get(end.assembly)
    if assembly is None or not assembly.parts:
        return end.assembly
    post = basis.plan.catalogue.items.get(assembly.parts[0][0])
    deep = basis.measures.height(assembly.depth_m)
    return f"{post.description if post else assembly.description}, {deep} in the ground, {assembly.description.lower()}"


def _grade_along(line: LinePlan, section: Section) -> str:
    low, high = line.ground.level_at(np.array([section.from_m, section.to_m]))
    return degrees_text(float(np.degrees(np.arctan2(high - low, section.plan_length_m))))


def _bed_below(line: LinePlan, section: Section) -> float:
    ground = line.ground
    inside = (ground.chainage_m >= section.from_m) & (ground.chainage_m <= section.to_m)
    banks = ground.level_at(np.array([section.from_m, section.to_m]))
    return max(0.0, float(banks.min() - ground.level_m[inside].min())) if inside.any() else 0.0
