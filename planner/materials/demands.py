"""Roll demands: the lengths that rolls and coils have to cover, section by section."""

from __future__ import annotations

from collections.abc import Sequence

from planner.materials.counting import mesh_lengths, strand_length
from planner.materials.roll_plan import RollDemand
from planner.materials.section_work import SectionWork
from planner.spec.catalogue import Catalogue
from planner.spec.crossings import floodgate_kit
from planner.units import Metre


class Demands:
    """Roll demands by item, in order of section.

    Args:
        catalogue: Item list; only items with stock lengths are covered from rolls.
    """

    def __init__(self, catalogue: Catalogue) -> None:
        self._items = catalogue.items
        self.by_item: dict[str, list[RollDemand]] = {}

    def add(self, item: str, demand: RollDemand) -> None:
        """Adds one length, unless its item is not sold in rolls."""
        found = self._items.get(item)
        if found is not None and found.stock_m and demand.length_m > 0:
            self.by_item.setdefault(item, []).append(demand)


def add_section(demands: Demands, work: SectionWork, allowed: Sequence[Metre] | None) -> None:
    """Adds the lengths of one section: mesh by sub-run, netting and strands from end to end, or a floodgate's own.

    Args:
        demands: Where to add them.
        work: The section.
        allowed: Chainages at which a roll join of mesh may be made; None when anywhere. [m]
    """
    section = work.section
    if section.is_gate:
        return
    if section.is_crossing:
        _add_crossing(demands, work)
        return
    _add_mesh(demands, work, allowed)
    for netting in work.fence.nettings:
        length = round(section.slope_length_m + 2.0 * netting.tail_m, 4)
        demands.add(netting.item, RollDemand(section.id, netting.name, section.from_m, section.to_m, length))
    for strand in work.fence.strands:
        length = strand_length(work, strand)
        demands.add(strand.item, RollDemand(section.id, strand.name, section.from_m, section.to_m, length))


def _add_mesh(demands: Demands, work: SectionWork, allowed: Sequence[Metre] | None) -> None:
    mesh = work.fence.mesh
    if mesh is None:
        return
    for k, (run, length) in enumerate(zip(work.joins.sub_runs, mesh_lengths(work, mesh), strict=True)):
        places = None
        if allowed is not None:
            head = mesh.tail_m if k == 0 else 0.0
            stretch = run.slope_length_m / max(run.to_m - run.from_m, 1e-9)
            places = tuple(head + (at - run.from_m) * stretch for at in allowed if run.from_m < at < run.to_m)
        demands.add(mesh.item, RollDemand(work.section.id, f"sub-run {k + 1}", run.from_m, run.to_m, length, places))


def _add_crossing(demands: Demands, work: SectionWork) -> None:
    kit, section = floodgate_kit(), work.section
    for k in range(kit.cables):
        length = round(kit.cable_length_m(section.plan_length_m), 4)
        demands.add(kit.cable, RollDemand(section.id, f"cable {k + 1}", section.from_m, section.to_m, length, ()))
    if kit.curtain:
        length, rows = round(section.plan_length_m + 2.0 * kit.curtain_tail_m, 4), kit.curtains_deep(work.drop_m)
        for k in range(rows):
            name = "curtain" if rows == 1 else f"curtain row {k + 1}"
            demands.add(kit.curtain, RollDemand(section.id, name, section.from_m, section.to_m, length))
