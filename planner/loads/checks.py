"""What the loads say is worth a look. Advisory, every one: a finding here is a reason to think, not a design."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from planner.alignment.line import FenceLine
from planner.findings import Finding, Place
from planner.loads.end_assembly import assembly_forces
from planner.loads.turns_and_uplift import ENDS, LADDER, HoldDown, PostLoad, ground_of, hold_down, wires_at
from planner.loads.wire_tension import KNOTS, join_strength, temperature_table, wire_of
from planner.sections.posts import Post
from planner.sections.strains import Section
from planner.settings import Settings
from planner.sources import COMMON_PRACTICE, MECHANICS
from planner.spec.end_assemblies import EndAssembly
from planner.spec.fence_type import FenceType
from planner.spec.ground_classes import GroundClass
from planner.spec.items import Item
from planner.spec.wires import Wire
from planner.units import Metre, Newton, kgf
from planner.wording import few_of

RULES = {
    "loads-01": "the wires lift a post no more than a longer post holds",
    "loads-02": "a deviation post stands without a stay",
    "loads-03": "an end lifts its post no more than a longer post holds",
    "loads-04": "a wire in the cold keeps well below its breaking load",
    "loads-05": "a knotted wire in the cold keeps well below what the knot leaves",
    "loads-06": "the rail or stay of an end meets its post no lower than the wires pull",
    "loads-07": "the breaking load of every strained wire is known",
}
COLD_C = -10.0
COLD_SHARE = 0.60
KNOT_MARGIN = 1.25
USUAL_KNOT = "figure of eight"
FOOTING_ITEM = "footing-plate"
_SAME_PLACE_M: Metre = 0.01
_NAMED = 6
_STAY = "stay it against the turn, or make it a corner with an end assembly"
_ONE_DIP_M: Metre = 15.0
"""Lifted posts no farther apart than this stand in one dip. [m] Common practice, no source."""
_ENOUGH: tuple[HoldDown, ...] = ("none", "longer post")
_LIFT_SOURCE = LADDER[0].source
_REMEDIES: Mapping[HoldDown, str] = {
    "footed post": "Foot the post",
    "second post at 45 deg": "Drive a second post beside it at 45 degrees and tie the two together low down",
    "buried log or stone": "Tie the wires down to a buried log or stone",
    "separate section": "End the strain here with an end assembly, so that nothing is pulled through",
    "bridge the dip and infill": "Run the wires straight over the dip and close the gap below them",
}
_END_REMEDIES: Mapping[HoldDown, str] = {
    "footed post": "Foot the end post",
    "buried log or stone": "Tie the end post down to a buried log or stone",
    "bridge the dip and infill": "Move the end to better or higher ground",
}


@dataclass(frozen=True, slots=True)
class _Cold:
    """One wire in the cold, and what it is made of."""

    name: str
    made_of: str
    tension_n: Newton
    wire: Wire


def check_loads(
    line: FenceLine, posts: Sequence[Post], loads: Sequence[PostLoad], sections: Sequence[Section], fence: FenceType,
    assemblies: Mapping[str, EndAssembly], grounds: Mapping[str, GroundClass], settings: Settings,
    items: Mapping[str, Item] | None = None,
) -> list[Finding]:
    """What the loads of one line say is worth a look. Advisory.

    At most one finding a post or a dip, and only above what a longer post holds, as rise and dip posts are longer
    anyway. Ends are gathered by assembly and ground class, worst shown, as what helps one helps all; an assembly with
    a footing plate among its parts is taken as footed.

    Args:
        line: Fence line.
        posts: Its posts.
        loads: Load of each.
        sections: Its sections.
        fence: Its fence type.
        assemblies: End assemblies by key.
        grounds: Ground classes by key.
        settings: Settings.
        items: Items by key. Without them the strands cannot be checked in the cold, only the mesh.

    Returns:
        Findings, by rule.

    Raises:
        OutOfRange: A post stands in a ground class that is not in the list.
        BadFenceType: A strained strand's item is not a wire.

    Source:
        Forces that lift a post: BTCV Fencing handbook, NZ tests. The limits on cold wire (60 % of its breaking load,
        1.25 for a figure of eight knot) and on the rungs of the ladder are common practice, no source.
    """
    return [
        *_lifted_and_pulled(line, posts, loads, grounds),
        *_ends(line, posts, loads, sections, fence, assemblies, grounds),
        *_cold_wires(line, sections, fence, settings, items),
        *_low_rails(line, sections, fence, assemblies),
    ]


def _force(newtons: Newton) -> str:
    return f"{newtons / 1000.0:.1f} kN ({kgf(newtons):.0f} kgf)"


def _lifted_and_pulled(
    line: FenceLine, posts: Sequence[Post], loads: Sequence[PostLoad], grounds: Mapping[str, GroundClass],
) -> Iterator[Finding]:
    near: list[tuple[Post, PostLoad]] = []
    sideways: list[tuple[Post, PostLoad]] = []
    for post, load in zip(posts, loads, strict=True):
        if post.kind in ENDS or load.hold_down in _ENOUGH:
            if post.kind not in ENDS and load.deviation_class == "stayed":
                sideways.append((post, load))
            continue
        if near and not _one_dip(near[-1], (post, load)):
            yield _lifted(line, near, grounds)
            near = []
        near.append((post, load))
    if near:
        yield _lifted(line, near, grounds)
    if sideways:
        yield _pulled(line, sideways)


def _pulled(line: FenceLine, pulled: Sequence[tuple[Post, PostLoad]]) -> Finding:
    """What is said of the deviation posts of a line that are pulled sideways too much and not lifted."""
    first = pulled[0][0]
    places = [f"{post.chainage_m:.1f} m" for post, _ in pulled]
    worst = _force(max(load.side_n for _, load in pulled))
    if len(places) == 1:
        where, stay = f"At the deviation post the wires pull it sideways with {worst}", _STAY
    else:
        where = (f"At {len(places)} deviation posts the wires pull sideways with up to {worst}, at "
                 f"{few_of(places, most=_NAMED)}")
        stay = "stay each against its turn, or make it a corner with an end assembly"
    return Finding(
        "loads-02", "warning", f"{where}: more than a post without a stay should take (advisory).",
        stay[0].upper() + stay[1:] + ".", Place(line.name, first.section, first.chainage_m), COMMON_PRACTICE)


def _one_dip(before: tuple[Post, PostLoad], after: tuple[Post, PostLoad]) -> bool:
    """Whether two lifted posts stand in the same dip, so that one remedy serves both."""
    (post, load), (other, its) = before, after
    return (post.kind == other.kind and post.ground == other.ground and load.hold_down == its.hold_down
            and load.hold_down not in _ENOUGH and "stayed" not in (load.deviation_class, its.deviation_class)
            and post.section == other.section and other.chainage_m - post.chainage_m <= _ONE_DIP_M)


def _lifted(line: FenceLine, near: Sequence[tuple[Post, PostLoad]], grounds: Mapping[str, GroundClass]) -> Finding:
    """What is said of one post that is lifted too much, or of several in one dip."""
    post, load = max(near, key=lambda pair: pair[1].uplift_n)
    place = Place(line.name, post.section, near[0][0].chainage_m)
    ground, stayed = ground_of(post, grounds), load.deviation_class == "stayed"
    also = f"; besides, the wires pull it sideways with {_force(load.side_n)}" if stayed else ""
    first, last = near[0][0].chainage_m, near[-1][0].chainage_m
    which, most, each = f"the {post.kind} post", "", ""
    remedy = _REMEDIES[load.hold_down] + (f"; {_STAY}" if stayed else "")
    if len(near) > 1:
        which, most, each = f"{len(near)} {post.kind} posts from {first:.1f} m to {last:.1f} m", "up to ", " each"
        remedy = remedy.replace("the post", "each of them")
    return Finding(
        "loads-01", "warning",
        f"The wires lift {which} with {most}{_force(load.uplift_n)}{each}, where a plain post holds about"
        f" {_force(ground.uplift_n)} in this ground ({ground.description.lower()}){also} (advisory).",
        f"{remedy}.", place, _LIFT_SOURCE)


def _ends(
    line: FenceLine, posts: Sequence[Post], loads: Sequence[PostLoad], sections: Sequence[Section], fence: FenceType,
    assemblies: Mapping[str, EndAssembly], grounds: Mapping[str, GroundClass],
) -> Iterator[Finding]:
    if not posts:
        return
    found: dict[tuple[str, str], list[tuple[Newton, Post]]] = {}
    wires = wires_at(posts, sections)
    ends = {(section.id, _place_key(end.chainage_m)): end
            for section in sections for end in (section.start, section.end)}
    one_side = fence.pull_n * wires.one_side_lift
    for post, load, one_side_n in zip(posts, loads, one_side.tolist(), strict=True):
        end = ends.get((post.section, _place_key(post.chainage_m)))
        if post.kind not in ENDS or post.kind == "crossing" or end is None or end.assembly not in assemblies:
            continue
        # in a straight the two braces balance once both sides are strained, but not while one is; at a corner both lift
        brace_n = assembly_forces(fence, assemblies[end.assembly]).uplift_n
        both_n = load.uplift_n + (2.0 * brace_n if "corner" in end.causes else 0.0)
        lift_n = max(both_n, one_side_n + brace_n)
        footed = any(item == FOOTING_ITEM for item, _ in assemblies[end.assembly].parts)
        enough = (*_ENOUGH, "footed post") if footed else _ENOUGH
        if lift_n > 0.0 and _end_rung(lift_n, post, grounds) not in enough:
            found.setdefault((end.assembly, post.ground), []).append((lift_n, post))
    for (assembly, _), lifted in found.items():
        lift_n, post = max(lifted, key=lambda pair: pair[0])
        ground = ground_of(post, grounds)
        count = "One end" if len(lifted) == 1 else f"{len(lifted)} ends"
        yield Finding(
            "loads-03", "warning",
            f"{count} of the kind '{assemblies[assembly].description}': the pull and the bracing lift the end post with"
            f" up to {_force(lift_n)}, where a plain post holds about {_force(ground.uplift_n)} in this ground"
            f" ({ground.description.lower()}) (advisory).",
            f"{_END_REMEDIES[_end_rung(lift_n, post, grounds)]}, or use an end with a longer brace.",
            Place(line.name, post.section, post.chainage_m), _LIFT_SOURCE)


def _end_rung(lift_n: Newton, post: Post, grounds: Mapping[str, GroundClass]) -> HoldDown:
    return hold_down(lift_n, post_capacity_n=ground_of(post, grounds).uplift_n, section_ends_here=True)


def _place_key(chainage_m: Metre) -> int:
    return round(chainage_m / _SAME_PLACE_M)


def _cold_wires(
    line: FenceLine, sections: Sequence[Section], fence: FenceType, settings: Settings,
    items: Mapping[str, Item] | None,
) -> Iterator[Finding]:
    runs = [s for s in sections if not (s.is_gate or s.is_crossing) and s.slope_length_m > 0.0]
    if not runs:
        return
    longest = max(runs, key=lambda s: s.slope_length_m)
    colds = _cold_tensions(fence, items, longest.slope_length_m, settings)
    for made_of in dict.fromkeys(cold.made_of for cold in colds if cold.wire.breaking_n is None):
        yield Finding(
            "loads-07", "note", f"The breaking load of '{made_of}' is not known, so its tension in the cold is not"
            " checked.", "Give breaking_kn in your items.toml.", Place(line.name), COMMON_PRACTICE)
    place = Place(line.name, longest.id)
    for cold in sorted(colds, key=lambda c: -c.tension_n):
        breaking_n = cold.wire.breaking_n
        if breaking_n is None:
            continue
        if cold.tension_n > COLD_SHARE * breaking_n:
            yield Finding(
                "loads-04", "warning", f"At {COLD_C:g} degC {cold.name} carries {_force(cold.tension_n)}, over"
                f" {COLD_SHARE:.0%} of the {_force(breaking_n)} that break it (advisory).",
                "Strain it less, strain it in cooler weather, or put in a spring.", place, COMMON_PRACTICE)
        elif KNOT_MARGIN * cold.tension_n > join_strength(breaking_n, USUAL_KNOT):
            yield Finding(
                "loads-05", "warning", f"At {COLD_C:g} degC {cold.name} carries {_force(cold.tension_n)}, and a"
                f" {USUAL_KNOT} knot in it breaks at about {_force(join_strength(breaking_n, USUAL_KNOT))} (advisory).",
                "Join it with sleeves, or strain it less.", place, KNOTS[USUAL_KNOT].source)


def _cold_tensions(
    fence: FenceType, items: Mapping[str, Item] | None, length_m: Metre, settings: Settings,
) -> list[_Cold]:
    """Every kind of strained steel wire of a fence, in the cold."""
    known = fence if items is not None else replace(fence, strands=())
    items = items or {}
    row = temperature_table(known, items, length_m=length_m, settings=settings, temperatures=(COLD_C,))[0]
    colds = []
    for strand, (name, tension_n) in zip(known.strands, row.strands, strict=True):
        wire = wire_of(strand, items, fence=fence.key)
        if wire is not None:
            colds.append(_Cold(f"the wire '{name}'", items[strand.item].description, tension_n, wire))
    if fence.mesh is not None and row.mesh_wire_n is not None:
        name = "a line wire of the mesh"
        colds.append(_Cold(name, name, row.mesh_wire_n, fence.mesh.line_wire))
    return colds


def _low_rails(
    line: FenceLine, sections: Sequence[Section], fence: FenceType, assemblies: Mapping[str, EndAssembly],
) -> Iterator[Finding]:
    ends = {end.assembly: end for section in reversed(sections) if not section.is_gate
            for end in (section.end, section.start)}
    for key, end in sorted(ends.items()):
        assembly = assemblies.get(key)
        if assembly is None or assembly.form in ("post", "hand"):
            continue
        if assembly.rail_height_m < fence.pull_height_m:
            yield Finding(
                "loads-06", "note", f"The rail or stay of '{assembly.description}' meets its post at"
                f" {assembly.rail_height_m:.2f} m, below the {fence.pull_height_m:.2f} m at which the wires pull: the"
                " post bends over it, and the thrust is greater than the pull (advisory).",
                "Choose an end with a higher rail, or raise it.",
                Place(line.name, chainage_m=end.chainage_m), MECHANICS)
