"""The electric sheet: what each circuit takes in wire, leads, energiser and earths, and how far its far end is."""

from __future__ import annotations

from planner.jobpack.basis import Basis
from planner.jobpack.page.flow import Flow
from planner.jobpack.page.form import Form
from planner.jobpack.page.records import FAINT, Page
from planner.jobpack.page.table import BLANK, Column, Row, Table
from planner.settings import ELECTRIC
from planner.surroundings.electric import Circuit

CAUTION = ("Advisory. Energisers are fitted as their papers and local rules say, with an earth of their own, well away "
           "from the earths of buildings, telephone and power. Never make barbed wire live. Signs where people pass. "
           "A long live fence beside a high-voltage line is a matter for the network owner. The length sets the "
           "least output; growth, dry soil and poor joints take more: measure at the far end and write it down. Leads, "
           "clamps, rods and energiser are not in the materials list.")


def electric_pages(basis: Basis) -> tuple[Page, ...]:
    """One table of the circuits of a job; no page where no line is live.

    Args:
        basis: Basis of the sheets.
    """
    found = basis.plan.electric
    if not found:
        return ()
    measures = basis.measures
    unit = measures.length_unit
    flow = Flow(Form("A4", landscape=True), "Electric")
    flow.table(Table((
        Column("Circuit", weight="semibold", grow=1.6), Column("Fed from", grow=1.0),
        Column(f"Live fence {unit}", "right", grow=0, least=16.0),
        Column(f"Live wire {unit}", "right", grow=0, least=16.0),
        Column("Joints", "right", grow=0), Column("Gates", "right", grow=0),
        Column(f"Leads below gates {unit}", "right", grow=0, least=18.0),
        Column("Least output J", "right", "semibold", 0, least=16.0),
        Column("Energiser J", "right", grow=0, least=16.0),
        Column("Earth rods", "right", "semibold", 0), Column("Farthest place", grow=1.2),
        Column("Measured there kV", "right", grow=0, least=20.0)),
        tuple(_row(basis, circuit) for circuit in found), size_pt=8.0))
    settings = basis.plan.job.settings
    flow.gap()
    flow.text(f"Least output {settings.joules_per_km:g} J for a km of live fence; earth rods of "
              f"{measures.length(settings.earth_rod_length_m, 2)}, at least {settings.earth_rods_least}, "
              f"{settings.earth_rod_m_per_joule:g} m of rod for a joule, at least 3 m apart ({ELECTRIC}). Leads go "
              "both ways below a gate: down one post, below the ground, up the other (common practice, no source).",
              size_pt=8.0)
    flow.text(CAUTION, size_pt=8.0, weight="semibold", colour=FAINT)
    return flow.pages()


def _row(basis: Basis, circuit: Circuit) -> Row:
    measures = basis.measures
    far = f"{measures.length(circuit.far_end_m, 0)} along the fence, on {circuit.far_end}" if circuit.far_end_m else "–"
    return Row((", ".join(circuit.lines), ", ".join(circuit.energisers) or "no energiser marked",
                measures.number(circuit.fence_m, 0), measures.number(circuit.conductor_m, 0), str(circuit.joints),
                str(circuit.gates), measures.number(circuit.lead_m, 0), f"{circuit.joules_needed:.1f}",
                "–" if circuit.joules is None else f"{circuit.joules:g}", str(circuit.rods_needed), far, BLANK))
