"""A fence type from its file: heights in millimetres and strains in kN or kgf on paper, SI inside."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

from planner.spec.end_assemblies import EndAssembly, EndRules
from planner.spec.fence_type import FenceType, LabourRates
from planner.spec.items import Item
from planner.spec.meshes import Knot, Mesh, Netting
from planner.spec.posts import PostRules
from planner.spec.reading_items import BARBED_FAMILY, item_key, need_item, strain
from planner.spec.tables import Table, check_key, nearest
from planner.spec.wires import Strand, StrandKind, TieRule
from planner.units import Metre

FORMAT_MAJOR = 1
_KINDS: tuple[StrandKind, ...] = ("plain", "barbed", "hot", "earth", "sight", "cable", "poly", "rail")
_LIVE = ("hot", "earth", "poly")
_TIES: tuple[TieRule, ...] = ("every-post", "every-second-post", "droppers-too", "none")
_KNOTS: tuple[Knot, ...] = ("hinged", "fixed", "woven")


@dataclass(frozen=True)
class Stores:
    """What a fence type may name.

    Attributes:
        items: Items by key.
        assemblies: End assemblies by key.
    """

    items: Mapping[str, Item]
    assemblies: Mapping[str, EndAssembly]

    def longest_m(self, family: str) -> Metre | None:
        """The longest piece of a family. [m] None when the item list has no such family."""
        return max((i.length_m for i in self.items.values() if i.family == family and i.length_m), default=None)


def read_fence(key: str, values: Mapping[str, object], stores: Stores, *, file: str) -> FenceType:
    """A fence type from the tables of its file, checked throughout.

    Args:
        key: Key of the type, such as ``general-mesh``.
        values: The file's tables.
        stores: Items and end assemblies that it may name.
        file: Name of the file, for messages.

    Raises:
        BadFenceType: A field is unknown, missing or unusable, a height is out of order, a named item or assembly does
            not exist, a live wire is barbed, or no post in the item list is long enough. Names file, table and field.
    """
    top = Table(values, file=file)
    check_key(key, file=file)
    _check_version(top)
    fence = FenceType(
        key=key,
        name=top.text("name"),
        use=top.text("use"),
        version=top.text("version"),
        strands=_read_strands(top, stores.items),
        mesh=_read_mesh(top.table("mesh"), stores.items) if top.has("mesh") else None,
        nettings=tuple(_read_netting(t, stores.items) for t in top.tables("netting")),
        posts=_read_posts(top.table("posts"), stores),
        ends=_read_ends(top.table("ends"), stores),
        max_strain_flat_m=top.number("longest_strain_flat_m", low=1.0, high=20_000.0, unit="m"),
        max_strain_undulating_m=top.number("longest_strain_undulating_m", low=1.0, high=20_000.0, unit="m"),
        labour=_read_labour(top.table("labour")),
        cautions=top.texts("cautions", default=()),
        sources=top.texts("sources"),
    )
    top.finish()
    _check_whole(fence, top, stores)
    return fence


def _check_version(top: Table) -> None:
    version = top.text("version")
    if not re.fullmatch(r"\d+\.\d+", version):
        top.refuse("version", f"'{version}' is not a version", "write it as major.minor, such as \"1.0\"")
    if int(version.split(".")[0]) > FORMAT_MAJOR:
        top.refuse("version", f"version {version} is newer than this program reads",
                   f"install a newer program, or write the file as version {FORMAT_MAJOR}.0")


def _read_strands(top: Table, items: Mapping[str, Item]) -> tuple[Strand, ...]:
    strands: list[Strand] = []
    for table in top.tables("wires"):
        strand = _read_strand(table, items)
        if strands and strand.height_m <= strands[-1].height_m:
            table.refuse(
                "height_mm", f"{strand.height_m * 1000:g} mm is not above the wire before it "
                f"({strands[-1].height_m * 1000:g} mm)", "list the wires from the ground up, each at its own height")
        strands.append(strand)
    return tuple(strands)


def _read_strand(table: Table, items: Mapping[str, Item]) -> Strand:
    strand = Strand(
        name=table.text("name"),
        height_m=table.number("height_mm", low=0.0, high=5000.0, unit="mm") / 1000,
        kind=table.choice("kind", _KINDS),
        item=item_key(table, "wire", items),
        strain_n=strain(table, "strain"),
        tie=table.choice("tie", _TIES),
        tie_item=item_key(table, "tie_steel", items, optional=True),
        tail_m=table.number("tail_m", low=0.0, high=20.0, unit="m"),
        timber_tie_item=item_key(table, "tie_timber", items, optional=True),
        end_items=table.texts("end_fittings", default=()),
        join_item=item_key(table, "join", items, optional=True),
    )
    for fitting in strand.end_items:
        need_item(table, "end_fittings", fitting, items)
    table.finish()
    barbed = items[strand.item].family == BARBED_FAMILY
    if barbed and strand.kind in _LIVE:
        table.refuse("kind", f"'{strand.item}' is barbed wire and may not be electrified or part of a live fence's "
                     "return", "use a plain wire for it")
    if barbed != (strand.kind == "barbed"):
        table.refuse("kind", f"the kind is '{strand.kind}' but '{strand.item}' is "
                     f"{'' if barbed else 'not '}barbed wire", "make kind and wire agree")
    if items[strand.item].unit != "m":
        table.refuse("wire", f"'{strand.item}' is not sold by the metre", "name a wire or a rail")
    if strand.tie != "none" and not (strand.tie_item or strand.timber_tie_item):
        table.refuse("tie", "the wire is to be fixed but no fixing is named", "add tie_steel, tie_timber or both")
    return strand


def _read_mesh(table: Table, items: Mapping[str, Item]) -> Mesh:
    roll = item_key(table, "roll", items)
    wire = items[roll].wire
    if wire is None or items[roll].unit != "m":
        table.refuse("roll", f"'{roll}' is not a mesh with a line wire", "give the item its wire and unit 'm'")
    heights = table.numbers("line_wire_heights_mm", low=0.0, high=4000.0, unit="mm")
    if len(heights) < 2 or heights[0] != 0 or any(b <= a for a, b in pairwise(heights)):
        table.refuse("line_wire_heights_mm", "the heights do not rise from 0",
                     "list every line wire from the bottom one, which is 0, upwards")
    mesh = Mesh(
        item=roll,
        gap_below_m=table.number("gap_below_mm", low=0.0, high=1000.0, unit="mm") / 1000,
        line_wire_heights_m=tuple(h / 1000 for h in heights),
        picket_spacing_m=table.number("picket_spacing_mm", low=0.0, high=2000.0, unit="mm", above_low=True) / 1000,
        line_wire=wire,
        strain_per_wire_n=strain(table, "strain_per_line_wire"),
        knot=table.choice("knot", _KNOTS),
        lean_limit_deg=table.number("lean_limit_deg", low=0.0, high=30.0, unit="deg"),
        crimp_amplitude_m=table.number("crimp_amplitude_mm", low=0.0, high=50.0, unit="mm") / 1000,
        crimp_wave_m=table.number("crimp_wave_mm", low=0.0, high=1000.0, unit="mm", above_low=True) / 1000,
        tail_m=table.number("tail_m", low=0.0, high=20.0, unit="m"),
        ties_per_steel_post=table.whole("ties_per_steel_post", low=0, high=50),
        staples_per_timber_post=table.whole("staples_per_timber_post", low=0, high=50),
        tie_item=item_key(table, "tie", items),
        staple_item=item_key(table, "staple", items),
        sleeve_item=item_key(table, "sleeve", items),
    )
    table.finish()
    return mesh


def _read_netting(table: Table, items: Mapping[str, Item]) -> Netting:
    netting = Netting(
        item=item_key(table, "roll", items),
        name=table.text("name"),
        width_m=table.number("width_mm", low=0.0, high=4000.0, unit="mm", above_low=True) / 1000,
        rings_per_m=table.number("rings_per_m", low=0.0, high=100.0),
        ring_item=item_key(table, "ring", items),
        tail_m=table.number("tail_m", low=0.0, high=20.0, unit="m"),
    )
    table.finish()
    return netting


def _read_posts(table: Table, stores: Stores) -> PostRules:
    rules = PostRules(
        spacing_m=table.number("spacing_m", low=0.1, high=100.0, unit="m"),
        spacing_uneven_m=table.number("spacing_uneven_m", low=0.1, high=100.0, unit="m"),
        pattern=table.texts("pattern"),
        rise_family=table.text("rise_post"),
        dip_family=table.text("dip_post"),
        deviation_family=table.text("deviation_post"),
        embedment_m=table.number("in_ground_mm", low=0.0, high=3000.0, unit="mm") / 1000,
        deep_extra_m=table.number("deep_extra_mm", low=0.0, high=3000.0, unit="mm") / 1000,
        head_m=table.number("above_top_wire_mm", low=0.0, high=1000.0, unit="mm") / 1000,
        droppers_per_panel=table.whole("droppers_per_panel", low=0, high=50, default=0),
        dropper_item=item_key(table, "dropper", stores.items, optional=True),
        side_light_n=table.number("side_light_kn", low=0.0, high=100.0, unit="kN") * 1000,
        side_heavy_n=table.number("side_heavy_kn", low=0.0, high=100.0, unit="kN") * 1000,
        dropper_clip_item=item_key(table, "dropper_clip", stores.items, optional=True),
    )
    table.finish()
    _check_posts(rules, table, stores)
    return rules


def _check_posts(rules: PostRules, table: Table, stores: Stores) -> None:
    if not rules.pattern:
        table.refuse("pattern", "the pattern is empty", "list at least one family of post")
    if rules.spacing_uneven_m > rules.spacing_m:
        table.refuse("spacing_uneven_m", f"{rules.spacing_uneven_m:g} m is wider than on even ground "
                     f"({rules.spacing_m:g} m)", "give the same or less")
    if rules.side_heavy_n < rules.side_light_n:
        table.refuse("side_heavy_kn", "it is less than side_light_kn", "give the same or more")
    if rules.droppers_per_panel and not rules.dropper_item:
        table.refuse("dropper", "there are droppers in each panel but none is named", "name one from the item list")
    families = sorted({i.family for i in stores.items.values() if i.family and i.length_m})
    for field, family in (*(("pattern", f) for f in rules.pattern), ("rise_post", rules.rise_family),
                          ("dip_post", rules.dip_family), ("deviation_post", rules.deviation_family)):
        if family not in families:
            near = nearest(family, families)
            table.refuse(field, f"no post of family '{family}' is in the item list",
                         f"did you mean '{near}'" if near else f"use one of {', '.join(families)}")


def _read_ends(table: Table, stores: Stores) -> EndRules:
    rules = EndRules(
        single=_assembly(table, "single", stores),
        double=_assembly(table, "double", stores),
        gate=_assembly(table, "gate", stores),
        double_above_n=table.number("double_above_kn", low=0.0, high=1000.0, unit="kN") * 1000,
    )
    table.finish()
    return rules


def _assembly(table: Table, field: str, stores: Stores) -> str:
    key = table.text(field)
    if key not in stores.assemblies:
        near = nearest(key, stores.assemblies)
        table.refuse(field, f"there is no end assembly '{key}'",
                     f"did you mean '{near}'" if near else f"use one of {', '.join(sorted(stores.assemblies))}")
    return key


def _read_labour(table: Table) -> LabourRates:
    def hours(field: str) -> float:
        return table.number(field, low=0.0, high=1000.0, unit="h")

    def minutes(field: str) -> float:
        return table.number(field, low=0.0, high=10_000.0, unit="min") / 60

    rates = LabourRates(
        set_out_per_m=hours("set_out_h_per_km") / 1000,
        end=hours("end_h"),
        end_further=hours("end_further_h"),
        steel_post=minutes("steel_post_min"),
        timber_post=minutes("timber_post_min"),
        strand_per_m=hours("each_wire_h_per_km") / 1000,
        mesh_per_m=hours("mesh_h_per_km") / 1000,
        netting_per_m=hours("each_netting_h_per_km") / 1000,
        fixing_per_post=minutes("fixing_post_min"),
        mid_run_join=hours("mid_run_join_h"),
        roll_join=hours("roll_join_h"),
        tie_off=hours("tie_off_h"),
        gate=hours("gate_h"),
        crossing=hours("crossing_h"),
        hold_down=hours("hold_down_h"),
    )
    table.finish()
    return rates


def _check_whole(fence: FenceType, top: Table, stores: Stores) -> None:
    if not fence.strands and fence.mesh is None:
        top.refuse("wires", "the fence has neither wires nor mesh", "add [[wires]] or [mesh]")
    if fence.max_strain_undulating_m > fence.max_strain_flat_m:
        top.refuse("longest_strain_undulating_m", "it is longer than on flat ground", "give the same or less")
    rules = fence.posts
    needed = fence.height_m + rules.head_m + rules.embedment_m
    deep = (rules.rise_family, rules.dip_family, rules.deviation_family)
    for family, length in (*((f, needed) for f in rules.pattern), *((f, needed + rules.deep_extra_m) for f in deep)):
        longest = stores.longest_m(family)
        if longest is not None and longest < length - 1e-9:
            top.refuse("posts", f"a post of {length:.2f} m is needed, but the longest '{family}' in the item list is "
                       f"{longest:.2f} m", "set it less deep, or add a longer post to your items.toml")
