"""Labour: person-hours by component, with the multipliers of the ground it stands in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from planner.errors import BadFenceType
from planner.materials.roll_plan import RollPlan
from planner.materials.section_work import SectionWork
from planner.materials.takeoff import roll_joins
from planner.sections.posts import is_end_post
from planner.spec.catalogue import Catalogue
from planner.spec.crossings import hold_down_parts
from planner.spec.ground_classes import GroundClass
from planner.units import Hour

COMPONENTS = (
    "taking out old fence", "set-out and guide wire", "end assemblies", "further directions of pull",
    "steel line posts", "timber line posts", "hold-downs", "wire", "mesh", "netting", "tying off posts", "tie-offs",
    "mid-run joins", "roll joins", "gates", "crossings")
"""What work is made of, in the order in which it is done."""


@dataclass(frozen=True, slots=True)
class LabourRow:
    """Hours of one component.

    Attributes:
        component: What is done, such as ``end assemblies`` or ``line posts, ledge rock``.
        quantity: How many or how much.
        unit: Unit of the quantity.
        hours_each: Hours per unit on flat soil. [h]
        factor: Multiplier of the ground class; 1 on soil.
        hours: quantity x hours_each x factor. [h]
        work: Which of ``COMPONENTS`` it is, whatever the ground and the fence.
    """

    component: str
    quantity: float
    unit: str
    hours_each: Hour
    factor: float
    hours: Hour
    work: str = ""


def labour(works: Sequence[SectionWork], *, catalogue: Catalogue,
           rolls: Mapping[str, RollPlan],
           factors: Mapping[tuple[str, str], float] = MappingProxyType({})) -> tuple[LabourRow, ...]:
    """Person-hours of a job, component by component.

    The multipliers of a ground class fall on the posts and the ends that stand in it and on nothing else, unless a
    multiplier of the crew's own is given.

    Args:
        works: Sections of all lines.
        catalogue: Items and ground classes.
        rolls: Item key to roll plan, for the roll joins of mesh.
        factors: (component, ground class key) to the multiplier in place of the ground class's own; (component, "")
            to one that falls on the whole component on top of that.

    Raises:
        BadFenceType: A ground class or an item is not in the catalogue.

    Source:
        Rates are properties of the fence type; multipliers by component, not on the whole: common practice.
        Checked in tests/unit/materials/test_labour.py.
    """
    sheet = _Sheet(catalogue, factors, several=len({w.fence.key for w in works}) > 1)
    joins = roll_joins(rolls)
    for work in works:
        mesh = work.fence.mesh
        of_section = joins.get(work.section.id, {})
        roll = sum(n for (item, _, _), n in of_section.items() if mesh is not None and item == mesh.item)
        sheet.add_section(work, roll)
    return sheet.rows()


class _Sheet:
    """Hours while they are added up."""

    def __init__(self, catalogue: Catalogue, factors: Mapping[tuple[str, str], float], *, several: bool) -> None:
        self._catalogue, self._factors, self._several = catalogue, factors, several
        self._rows: dict[tuple[int, str, str, Hour, float], float] = {}

    def rows(self) -> tuple[LabourRow, ...]:
        return tuple(
            LabourRow(name, round(quantity, 4), unit, each, factor, round(quantity, 4) * each * factor,
                      COMPONENTS[place])
            for (place, name, unit, each, factor), quantity in sorted(self._rows.items()))

    def add_section(self, work: SectionWork, roll: int) -> None:
        rates, section = work.fence.labour, work.section
        self._add(work, "taking out old fence", work.removed_m, "m", work.removal_h_per_m)
        if section.is_gate:
            self._add(work, "gates", 1, "each", rates.gate)
        elif section.is_crossing:
            self._add(work, "crossings", 1, "each", rates.crossing)
        else:
            length = section.slope_length_m
            self._add(work, "set-out and guide wire", length, "m", rates.set_out_per_m)
            self._add_posts(work)
            rails = sum(strand.kind == "rail" for strand in work.fence.strands)
            self._add(work, "wire", length * (len(work.fence.strands) - rails), "m", rates.strand_per_m)
            self._add(work, "wire", length * rails, "m", rates.strand_per_m, called="rails")
            self._add(work, "mesh", length if work.fence.mesh is not None else 0.0, "m", rates.mesh_per_m)
            self._add(work, "netting", length * len(work.fence.nettings), "m", rates.netting_per_m)
            self._add(work, "tie-offs", 2, "each", rates.tie_off)
            self._add(work, "mid-run joins", len(work.joins.joins), "each", rates.mid_run_join)
            self._add(work, "roll joins", roll, "each", rates.roll_join)
        self._add_ends(work)
        held = sum(load.hold_down in hold_down_parts() for load in work.loads)
        self._add(work, "hold-downs", held, "each", rates.hold_down)

    def _add_posts(self, work: SectionWork) -> None:
        rates = work.fence.labour
        for place, post in enumerate(work.posts):
            if is_end_post(post):
                continue
            item = self._catalogue.items.get(post.item)
            timber = item is not None and item.timber
            ground = self._ground(post.ground)
            name = f"{'timber' if timber else 'steel'} line posts"
            if place not in work.kept:
                self._add(work, name, 1, "each", rates.timber_post if timber else rates.steel_post, ground,
                          ground.posts_factor)
            self._add(work, "tying off posts", 1, "each", rates.fixing_per_post)

    def _add_ends(self, work: SectionWork) -> None:
        rates = work.fence.labour
        for end, key in work.assemblies:
            ground = self._ground(key)
            self._add(work, "end assemblies", 1, "each", rates.end, ground, ground.ends_factor)
            self._add(work, "further directions of pull", max(0, end.directions - 1), "each", rates.end_further, ground,
                      ground.ends_factor)

    def _ground(self, key: str) -> GroundClass:
        found = self._catalogue.grounds.get(key)
        if found is None:
            raise BadFenceType(f"there is no ground class '{key}'",
                               remedy=f"use one of {', '.join(self._catalogue.grounds)}")
        return found

    def _add(self, work: SectionWork, name: str, quantity: float, unit: str, each: Hour,
             ground: GroundClass | None = None, factor: float = 1.0, called: str = "") -> None:
        if quantity == 0 or each == 0:
            return
        place, work_name = COMPONENTS.index(name), name
        name = called or name
        if ground is not None:
            factor = self._factors.get((work_name, ground.key), factor)
            name = f"{name}, {ground.description}"
        if self._several:
            name = f"{name} ({work.fence.name})"
        key = (place, name, unit, each, factor * self._factors.get((work_name, ""), 1.0))
        self._rows[key] = self._rows.get(key, 0.0) + quantity
