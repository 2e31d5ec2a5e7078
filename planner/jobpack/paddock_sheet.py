"""The paddock sheet: the land that the fences enclose, its gates, water and ways out, and where fences meet."""

from __future__ import annotations

from planner.jobpack.basis import Basis
from planner.jobpack.land_words import gate_words, meets, use_words, water_words, way_head, way_words
from planner.jobpack.page.flow import Flow
from planner.jobpack.page.form import Form
from planner.jobpack.page.records import FAINT, Page
from planner.jobpack.page.table import Column, Row, Table
from planner.surroundings.network import Node
from planner.surroundings.paddocks import Paddock

CAUTION = (
    "Advisory. The sum of the pulls is that of vectors, when every line is strained; while one alone is, the "
    "end carries it alone. What an end carries depends on its ground and how it was set: local practice, and an "
    "engineer where people can be hurt. Stand clear of the line of a wire under strain.")


def paddock_pages(basis: Basis) -> tuple[Page, ...]:
    """Paddocks, then where fences meet; no page where no land is enclosed.

    Args:
        basis: Basis of the sheets.
    """
    plan = basis.plan
    if not plan.paddocks:
        return ()
    flow = Flow(Form("A4", landscape=True), "Paddocks")
    _paddocks(basis, flow)
    met = [node for node in plan.nodes if meets(node)]
    if met:
        _ends(basis, met, flow)
    return flow.pages()


def _paddocks(basis: Basis, flow: Flow) -> None:
    measures, plan = basis.measures, basis.plan
    flow.table(Table((
        Column("Paddock", weight="semibold", grow=1.2), Column("For", grow=0.8),
        Column("Area", "right", "semibold", 0, least=18.0),
        Column(f"Around {measures.length_unit}", "right", grow=0, least=18.0),
        Column("Long : wide", "right", grow=0, least=16.0), Column("Gates", grow=1.4), Column("Water", grow=1.2),
        Column(way_head(plan), grow=1.0)),
        tuple(_paddock(basis, paddock) for paddock in plan.paddocks), size_pt=8.0))
    whole = sum(paddock.area_m2 for paddock in plan.paddocks)
    flow.text(f"Together {measures.area(whole)} on the ground. Counted is the land that lines of this job bound, with "
              "the fences that stand and stay; areas are level, not along the slope, and only as good as the corners. "
              "Names and uses come from what is marked on the map.", size_pt=7.8, colour=FAINT)


def _paddock(basis: Basis, paddock: Paddock) -> Row:
    measures = basis.measures
    return Row((paddock.name, use_words(paddock), measures.area(paddock.area_m2),
                measures.number(paddock.perimeter_m, 0), f"{paddock.long_over_wide:.1f}", gate_words(paddock),
                water_words(paddock), way_words(paddock)))


def _ends(basis: Basis, met: list[Node], flow: Flow) -> None:
    unit = basis.measures.length_unit
    flow.heading("Where fences meet")
    flow.text(CAUTION, size_pt=8.0, weight="semibold", colour=FAINT)
    flow.table(Table((
        Column("What", weight="semibold", grow=0), Column("Lines; the first holds the end in its materials", grow=1.6),
        Column(f"At {unit}", "right", grow=0, least=16.0), Column("Pulls kN", grow=1.0),
        Column("Sum of pulls", "right", grow=0, least=20.0), Column("Towards", "right", grow=0, least=16.0),
        Column("End to build", grow=1.2)),
        tuple(_end(basis, node) for node in met), size_pt=8.0))


def _end(basis: Basis, node: Node) -> Row:
    assembly = basis.plan.catalogue.assemblies.get(node.assembly)
    balanced = node.resultant_n <= 1.0
    return Row((node.kind, " and ".join(node.lines), basis.measures.number(node.chainage_m, 1),
                " + ".join(f"{arm.pull_n / 1000.0:.1f}" for arm in node.arms),
                "–" if balanced else f"{node.resultant_n / 1000.0:.1f} kN",
                "–" if balanced else f"{node.resultant_deg:.0f}°",
                assembly.description if assembly else node.assembly))
