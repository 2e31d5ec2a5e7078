"""Fence types in words and figures: the list, and one type in full."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict
from itertools import groupby

from planner.spec.catalogue import Catalogue, choose_fence
from planner.spec.fence_type import FenceType
from planner.spec.items import Item
from planner.spec.meshes import Mesh
from planner.spec.wires import Strand
from planner.units import kgf

ADVICE = "Loads are advisory: they help to compare and to ask the right questions, and are no licensed design."
_TIES = {"every-post": "at every post", "every-second-post": "at every second post",
         "droppers-too": "at every post and dropper", "none": "no fixings"}


def list_fences(catalogue: Catalogue) -> str:
    """All fence types as an aligned table: key, name, height, wires, post spacing, longest strains, pull.

    Args:
        catalogue: Where they are.
    """
    head = ("key", "name", "height mm", "wires", "posts m", "strain m", "pull kN")
    rows = [(f.key, f.name, _mm(f.height_m), _wire_count(f), _two(f.posts.spacing_m, f.posts.spacing_uneven_m),
             _two(f.max_strain_flat_m, f.max_strain_undulating_m), f"{f.pull_n / 1000:.1f}")
            for f in catalogue.fences.values()]
    note = ("posts: greatest panel, even / uneven ground; strain: longest, flat / undulating; "
            "pull: of one section on its end.")
    return "\n".join([*_aligned([head, *rows], right=(2, 4, 5, 6)), "", note, ADVICE])


def explain_fence(catalogue: Catalogue, key: str) -> str:
    """One fence type in full, with units, cautions and sources.

    Args:
        catalogue: Where it is.
        key: Its key, such as ``general-mesh``.

    Raises:
        BadFenceType: There is no such type; names the nearest keys.
    """
    fence = choose_fence(catalogue, key)
    blocks = [
        [f"{fence.name} ({fence.key}, version {fence.version})", fence.use],
        _summary(fence),
        _strand_block(fence.strands, catalogue.items),
        _mesh_block(fence.mesh, catalogue.items) if fence.mesh else [],
        _netting_block(fence, catalogue.items),
        _post_block(fence, catalogue.items),
        _end_block(fence, catalogue),
        _labour_block(fence),
        _listed("Cautions", (*fence.cautions, ADVICE)),
        _listed("Sources", fence.sources),
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block)


def fence_as_dict(fence: FenceType) -> dict[str, object]:
    """A fence type as plain dictionaries and lists, SI units in the names, with its derived figures.

    Args:
        fence: The fence type.
    """
    plain = {name: _plain(value) for name, value in asdict(fence).items()}
    derived = {"height_m": fence.height_m, "pull_n": fence.pull_n, "pull_height_m": fence.pull_height_m}
    return {"key": plain.pop("key"), "name": plain.pop("name"), **derived, **plain}


def _plain(value: object) -> object:
    if isinstance(value, dict):
        return {k: _plain(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(v) for v in value]
    return value


def _summary(fence: FenceType) -> list[str]:
    rows = [("height", f"{_mm(fence.height_m)} mm"),
            ("pull on an end", f"{_force(fence.pull_n)}, acting {_mm(fence.pull_height_m)} mm up"),
            ("longest strain", f"{fence.max_strain_flat_m:g} m flat, {fence.max_strain_undulating_m:g} m undulating")]
    return _aligned(rows)


def _strand_block(strands: tuple[Strand, ...], items: Mapping[str, Item]) -> list[str]:
    if not strands:
        return []
    rows = [("wire", "height mm", "kind", "strain kN", "what", "fixed", "steel post", "timber post", "tail m")]
    for s in reversed(strands):
        rows.append((s.name, _mm(s.height_m), s.kind, f"{s.strain_n / 1000:.2f}", items[s.item].description,
                     _TIES[s.tie], s.tie_item or "-", s.timber_tie_item or "-", f"{s.tail_m:g}"))
    fittings = [f"at each end of the {s.name}: {', '.join(items[i].description for i in s.end_items)}"
                for s in reversed(strands) if s.end_items]
    return ["Wires, top first", *_indented(_aligned(rows, right=(1, 3, 8))), *_indented(fittings)]


def _mesh_block(mesh: Mesh, items: Mapping[str, Item]) -> list[str]:
    rolls = " or ".join(f"{s:g}" for s in items[mesh.item].stock_m)
    heights = ", ".join(_mm(mesh.gap_below_m + h) for h in mesh.line_wire_heights_m)
    rows = [
        ("roll", f"{items[mesh.item].description}; rolls of {rolls} m"),
        ("line wires", f"{mesh.line_wires} of {mesh.line_wire.diameter_m * 1000:g} mm, "
                       f"at {heights} mm above the ground; small openings down"),
        ("pickets", f"every {_mm(mesh.picket_spacing_m)} mm, {mesh.knot} knots, may lean {mesh.lean_limit_deg:g} deg"),
        ("strain", f"{_force(mesh.strain_per_wire_n)} a line wire, {_force(mesh.pull_n)} in all"),
        ("crimp", f"amplitude {mesh.crimp_amplitude_m * 1000:g} mm, wave {mesh.crimp_wave_m * 1000:g} mm, "
                  "one between each two pickets" if mesh.crimp_amplitude_m else "none"),
        ("fixings", f"{mesh.ties_per_steel_post} on a steel post ({items[mesh.tie_item].description}), "
                    f"{mesh.staples_per_timber_post} on a timber post ({items[mesh.staple_item].description})"),
        ("join", f"one to a line wire ({items[mesh.sleeve_item].description})"),
        ("tail", f"{mesh.tail_m:g} m at each end of a strain"),
    ]
    return ["Mesh", *_indented(_aligned(rows))]


def _netting_block(fence: FenceType, items: Mapping[str, Item]) -> list[str]:
    rows = [(n.name, f"{items[n.item].description}; {n.rings_per_m:g} rings a metre "
                     f"({items[n.ring_item].description}); tail {n.tail_m:g} m at each end")
            for n in fence.nettings]
    return ["Netting", *_indented(_aligned(rows))] if rows else []


def _post_block(fence: FenceType, items: Mapping[str, Item]) -> list[str]:
    p = fence.posts
    length = fence.height_m + p.head_m + p.embedment_m
    rows = [
        ("spacing", f"up to {p.spacing_m:g} m, {p.spacing_uneven_m:g} m on undulating ground and curves"),
        ("in turn", ", ".join(f"{len(list(same))} {family}" for family, same in groupby(p.pattern))),
        ("length", f"{length:.2f} m or more: {_mm(p.embedment_m)} mm in the ground, "
                   f"{_mm(p.head_m)} mm above the top wire"),
        ("rise post", f"{p.rise_family}, {length + p.deep_extra_m:.2f} m or more"),
        ("dip post", f"{p.dip_family}, {length + p.deep_extra_m:.2f} m or more"),
        ("deviation post", f"{p.deviation_family}, {length + p.deep_extra_m:.2f} m or more; light up to a side force "
                           f"of {_force(p.side_light_n)}, stayed above {_force(p.side_heavy_n)}"),
    ]
    if p.droppers_per_panel:
        rows.append(("droppers", f"{p.droppers_per_panel} to a panel: {items[p.dropper_item].description}"))
    return ["Posts", *_indented(_aligned(rows))]


def _end_block(fence: FenceType, catalogue: Catalogue) -> list[str]:
    ends = fence.ends
    uses = (("ends", ends.single), (f"pull above {ends.double_above_n / 1000:g} kN", ends.double), ("gates", ends.gate))
    rows = [(use, f"{catalogue.assemblies[key].description} ({key}): strainer "
                  f"{_mm(catalogue.assemblies[key].depth_m)} mm in the ground") for use, key in uses]
    return ["Ends", *_indented(_aligned(rows))]


def _labour_block(fence: FenceType) -> list[str]:
    r = fence.labour
    rows = [
        ("set-out", r.set_out_per_m * 1000, "h/km"), ("one wire", r.strand_per_m * 1000, "h/km"),
        ("mesh", r.mesh_per_m * 1000, "h/km"), ("netting", r.netting_per_m * 1000, "h/km"),
        ("steel post", r.steel_post * 60, "min"), ("timber post", r.timber_post * 60, "min"),
        ("fixing a post", r.fixing_per_post * 60, "min"), ("end", r.end, "h"),
        ("further direction", r.end_further, "h"), ("tie-off", r.tie_off, "h"), ("roll join", r.roll_join, "h"),
        ("mid-run join", r.mid_run_join, "h"), ("gate", r.gate, "h"), ("crossing", r.crossing, "h"),
        ("hold-down", r.hold_down, "h"),
    ]
    lines = _aligned([(what, f"{amount:g}", unit) for what, amount, unit in rows if amount], right=(1,))
    return ["Labour, person-hours on flat prepared ground with materials on site", *_indented(lines)]


def _listed(head: str, sentences: Iterable[str]) -> list[str]:
    return [head, *(f"  - {s}" for s in sentences)]


def _wire_count(fence: FenceType) -> str:
    kinds: dict[str, int] = {}
    for strand in fence.strands:
        kinds[strand.kind] = kinds.get(strand.kind, 0) + 1
    parts = [f"{fence.mesh.line_wires}-wire mesh"] if fence.mesh else []
    parts += [f"{n} {kind}" for kind, n in kinds.items()]
    return " + ".join([*parts, *(n.name for n in fence.nettings)])


def _two(first: float, second: float) -> str:
    return f"{first:g} / {second:g}"


def _mm(metres: float) -> str:
    return f"{metres * 1000:.0f}"


def _force(newtons: float) -> str:
    return f"{newtons / 1000:.2f} kN ({kgf(newtons):.0f} kgf)"


def _indented(lines: Iterable[str]) -> list[str]:
    return [f"  {line}" for line in lines]


def _aligned(rows: Sequence[tuple[str, ...]], right: tuple[int, ...] = ()) -> list[str]:
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    return ["  ".join(cell.rjust(w) if i in right else cell.ljust(w)
                      for i, (cell, w) in enumerate(zip(row, widths, strict=True))).rstrip() for row in rows]
