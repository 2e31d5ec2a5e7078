"""Counting: how much of each item stands in one section, rule by rule. Shared ends are charged once."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from planner.errors import BadFenceType
from planner.materials.section_work import SectionWork
from planner.sections.posts import is_end_post
from planner.spec.catalogue import Catalogue
from planner.spec.crossings import floodgate_kit, hold_down_parts
from planner.spec.end_assemblies import EndAssembly
from planner.spec.items import Item
from planner.spec.meshes import Mesh
from planner.spec.wires import Strand

Role = Literal["mesh", "netting", "wire", "post", "dropper", "end", "gate", "crossing", "hold-down", "fixing"]
ROLES: tuple[Role, ...] = (
    "mesh", "netting", "wire", "post", "dropper", "end", "gate", "crossing", "hold-down", "fixing")
_PLACES = 4


@dataclass
class Count:
    """One item while it is counted.

    Attributes:
        role: What it is first used as.
        by_section: Section id to quantity.
        by_role: Role to quantity, for the waste allowances.
        per_m: Section id to the quantity that comes with each metre of slope length. [1/m]
        rules: Sentences, in the order first used.
    """

    role: Role
    by_section: dict[str, float] = field(default_factory=dict)
    by_role: dict[Role, float] = field(default_factory=dict)
    per_m: dict[str, float] = field(default_factory=dict)
    rules: dict[str, None] = field(default_factory=dict)


class Tally:
    """Counts of all items of a job.

    Args:
        catalogue: Item list, end assemblies.
    """

    def __init__(self, catalogue: Catalogue) -> None:
        self._catalogue = catalogue
        self.counts: dict[str, Count] = {}

    def item(self, key: str, where: str) -> Item:
        """The item of a key.

        Args:
            key: Item key.
            where: What asks for it, for the message.

        Raises:
            BadFenceType: It is not in the item list.
        """
        found = self._catalogue.items.get(key)
        if found is None:
            raise BadFenceType(f"'{key}' is not in the item list", where=where, remedy="add it to items.toml")
        return found

    def assembly(self, key: str, section: str) -> EndAssembly:
        """The end assembly of a key.

        Args:
            key: Assembly key.
            section: Section id that asks for it, for the message.

        Raises:
            BadFenceType: There is no such assembly.
        """
        found = self._catalogue.assemblies.get(key)
        if found is None:
            raise BadFenceType(f"there is no end assembly '{key}'", where=f"section {section}",
                               remedy="give the fence type an end assembly that is in the catalogue")
        return found

    def add(self, key: str, quantity: float, *, section: str, role: Role, rule: str, per_m: float = 0.0,
            pieces: bool = False) -> None:
        """Adds to the count of an item; nothing when the quantity is zero.

        Args:
            key: Item key.
            quantity: In the item's unit, or in pieces.
            section: Section id it is charged to.
            role: What it is used as.
            rule: The rule, as one sentence.
            per_m: How much of the quantity comes with each metre of slope length. [1/m]
            pieces: True when the quantity counts pieces of goods that are sold by mass.

        Raises:
            BadFenceType: The item is not in the item list.
        """
        if not key or quantity == 0:
            return
        item = self.item(key, f"section {section}")
        share = 1.0 / item.pieces_per_unit if pieces else 1.0
        quantity = round(quantity * share, _PLACES)
        count = self.counts.setdefault(key, Count(role))
        count.by_section[section] = round(count.by_section.get(section, 0.0) + quantity, _PLACES)
        count.by_role[role] = count.by_role.get(role, 0.0) + quantity
        if per_m:
            count.per_m[section] = count.per_m.get(section, 0.0) + per_m * share
        count.rules[rule] = None


def mesh_lengths(work: SectionWork, mesh: Mesh) -> list[float]:
    """Mesh used by each sub-run, with the tails of the section at its two ends. [m]

    Args:
        work: A section with sub-runs.
        mesh: Its mesh.
    """
    runs = work.joins.sub_runs
    last = len(runs) - 1
    return [round(run.slope_length_m + mesh.tail_m * ((k == 0) + (k == last)), _PLACES) for k, run in enumerate(runs)]


def strand_length(work: SectionWork, strand: Strand) -> float:
    """Wire used by one strand through a section, with a tail at each end. [m]

    Args:
        work: A section that carries wires.
        strand: One of its strands.
    """
    return round(work.section.slope_length_m + 2.0 * strand.tail_m, _PLACES)


def count_section(tally: Tally, work: SectionWork, roll_joins: Mapping[tuple[str, str, str], int]) -> None:
    """Counts everything in one section.

    Args:
        tally: Where to add it.
        work: The section.
        roll_joins: (item, section id, part) to the number of roll joins in it.
    """
    section = work.section
    if section.is_gate:
        tally.add(work.gate_item, 1, section=section.id, role="gate", rule="One gate for each gate opening.")
    elif section.is_crossing:
        _count_crossing(tally, work)
    else:
        _count_mesh(tally, work, roll_joins)
        _count_netting(tally, work)
        _count_strands(tally, work, roll_joins)
        _count_posts(tally, work)
        _count_mesh_ties(tally, work)
        _count_droppers(tally, work)
    _count_ends(tally, work)
    _count_hold_downs(tally, work)


def _count_mesh(tally: Tally, work: SectionWork, roll_joins: Mapping[tuple[str, str, str], int]) -> None:
    mesh = work.fence.mesh
    if mesh is None:
        return
    name = work.section.id
    tally.add(mesh.item, math.fsum(mesh_lengths(work, mesh)), section=name, role="mesh", per_m=1.0,
              rule=f"Mesh: slope length of each sub-run, and {mesh.tail_m:g} m at each end of a section.")
    joins = len(work.joins.joins) + _joins_of(roll_joins, mesh.item, name)
    tally.add(mesh.sleeve_item, joins * mesh.line_wires, section=name, role="fixing", pieces=True,
              rule="Join sleeves: one for each line wire at each mid-run join and each roll join.")


def _joins_of(roll_joins: Mapping[tuple[str, str, str], int], item: str, section: str, part: str = "") -> int:
    return sum(n for (i, s, p), n in roll_joins.items() if i == item and s == section and (not part or p == part))


def _count_netting(tally: Tally, work: SectionWork) -> None:
    for netting in work.fence.nettings:
        length = work.section.slope_length_m
        tally.add(netting.item, length + 2.0 * netting.tail_m, section=work.section.id, role="netting", per_m=1.0,
                  rule=f"{_title(netting.name)}: slope length, and {netting.tail_m:g} m at each end of a section.")
        tally.add(netting.ring_item, math.ceil(netting.rings_per_m * length), section=work.section.id, role="fixing",
                  per_m=netting.rings_per_m, pieces=True,
                  rule=f"Rings: {netting.rings_per_m:g} to a metre of {netting.name}.")


def _count_strands(tally: Tally, work: SectionWork, roll_joins: Mapping[tuple[str, str, str], int]) -> None:
    name = work.section.id
    for strand in work.fence.strands:
        tally.add(strand.item, strand_length(work, strand), section=name, role="wire", per_m=1.0,
                  rule=f"{_title(strand.name)}: slope length, and {strand.tail_m:g} m at each end of a section.")
        for fitting in strand.end_items:
            tally.add(fitting, 2, section=name, role="fixing", pieces=True,
                      rule=f"{_title(strand.name)}: one end fitting at each tie-off.")
        joins = len(work.joins.joins) + _joins_of(roll_joins, strand.item, name, strand.name)
        tally.add(strand.join_item, joins, section=name, role="fixing", pieces=True,
                  rule="Join sleeves: one for each wire at each mid-run join and each roll join.")
        _count_strand_ties(tally, work, strand)


def _count_strand_ties(tally: Tally, work: SectionWork, strand: Strand) -> None:
    if strand.tie == "none":
        return
    posts = [p for p in work.posts if not is_end_post(p)]
    tied = posts[::2] if strand.tie == "every-second-post" else posts
    timber = sum(tally.item(p.item, f"section {work.section.id}").timber for p in tied)
    where = "every second post" if strand.tie == "every-second-post" else "every post between ends"
    for key, number in ((strand.tie_item, len(tied) - timber), (strand.timber_tie_item, timber)):
        tally.add(key, number, section=work.section.id, role="fixing", pieces=True,
                  rule=f"{_title(strand.name)}: one fixing at {where}.")
    if strand.tie == "droppers-too":
        tally.add(work.fence.posts.dropper_clip_item, _droppers(work), section=work.section.id, role="fixing",
                  pieces=True, rule=f"{_title(strand.name)}: one clip at each dropper.")


def _count_posts(tally: Tally, work: SectionWork) -> None:
    stay = "; sound posts of the old fence stay" if work.kept else ""
    for place, post in enumerate(work.posts):
        if not is_end_post(post) and place not in work.kept:
            tally.add(post.item, 1, section=work.section.id, role="post",
                      rule=f"Posts between ends, as set out: spacing, pattern, rises, dips and deviations{stay}.")


def _count_mesh_ties(tally: Tally, work: SectionWork) -> None:
    mesh = work.fence.mesh
    if mesh is None:
        return
    posts = [p for p in work.posts if not is_end_post(p)]
    timber = sum(tally.item(p.item, f"section {work.section.id}").timber for p in posts)
    tally.add(mesh.tie_item, (len(posts) - timber) * mesh.ties_per_steel_post, section=work.section.id, role="fixing",
              pieces=True, rule=f"Mesh: {mesh.ties_per_steel_post} ties on each steel post.")
    tally.add(mesh.staple_item, timber * mesh.staples_per_timber_post, section=work.section.id, role="fixing",
              pieces=True, rule=f"Mesh: {mesh.staples_per_timber_post} staples on each timber post.")


def _droppers(work: SectionWork) -> int:
    return work.fence.posts.droppers_per_panel * (sum(not is_end_post(p) for p in work.posts) + 1)


def _count_droppers(tally: Tally, work: SectionWork) -> None:
    rules = work.fence.posts
    tally.add(rules.dropper_item, _droppers(work), section=work.section.id, role="dropper",
              rule=f"Droppers: {rules.droppers_per_panel} in each panel.")


def _count_ends(tally: Tally, work: SectionWork) -> None:
    for end, _ in work.assemblies:
        assembly = tally.assembly(end.assembly, work.section.id)
        for key, quantity in assembly.parts:
            tally.add(key, quantity, section=work.section.id, role="end",
                      rule=f"{assembly.description}: its parts for the first direction of pull.")
        for key, quantity in assembly.parts_further:
            tally.add(key, quantity * max(0, end.directions - 1), section=work.section.id, role="end",
                      rule=f"{assembly.description}: its parts for each further direction of pull.")


def _count_hold_downs(tally: Tally, work: SectionWork) -> None:
    parts = hold_down_parts()
    for load in work.loads:
        for key, quantity in parts.get(load.hold_down, ()):
            tally.add(key, quantity, section=work.section.id, role="hold-down", rule=f"Hold-down: {load.hold_down}.")


def _count_crossing(tally: Tally, work: SectionWork) -> None:
    kit = floodgate_kit()
    name, span = work.section.id, work.section.plan_length_m
    rule = f"{kit.description}: the span hangs from its own cable, so the fence's wires do not cross."
    deep, rows = kit.droppers_deep(work.drop_m), kit.curtains_deep(work.drop_m)
    droppers = deep * math.ceil(kit.droppers_per_m * span - 1e-9)
    reach = (f"the depth of the bed is not known, so they are counted {kit.dropper_length_m:g} m long"
             if work.drop_m is None else f"{deep} below each other reach the bed, {work.drop_m:.1f} m down")
    cable = round(kit.cable_length_m(span), _PLACES)
    tally.add(kit.cable, kit.cables * cable, section=name, role="crossing", per_m=kit.cables, rule=rule)
    tally.add(kit.cable_grip, 2 * kit.cables * kit.cable_grips_per_end, section=name, role="crossing", rule=rule)
    tally.add(kit.shackle, 2 * kit.cables * kit.shackles_per_end + droppers * kit.shackles_per_dropper, section=name,
              role="crossing", rule=rule)
    tally.add(kit.dropper, droppers, section=name, role="crossing",
              rule=f"{kit.description}: {kit.droppers_per_m:g} droppers to a metre of span; {reach}.")
    if kit.curtain:
        tally.add(kit.curtain, rows * (span + 2.0 * kit.curtain_tail_m), section=name, role="netting", per_m=rows,
                  rule=f"{kit.description}: its curtain in {rows} {'row' if rows == 1 else 'rows'}, and "
                  f"{kit.curtain_tail_m:g} m lapped at each end.")
        tally.add(kit.ring, rows * math.ceil(kit.rings_per_m * span - 1e-9), section=name, role="fixing", pieces=True,
                  rule=f"{kit.description}: {kit.rings_per_m:g} rings to a metre of curtain.")


def _title(name: str) -> str:
    return name[:1].upper() + name[1:]
