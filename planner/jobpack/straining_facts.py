"""What the crew must know to strain one section, gathered before it is laid out on its sheet."""

from __future__ import annotations

import bisect
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from planner.job.plan import LinePlan
from planner.job.roll_joins import SectionJoin
from planner.jobpack.basis import Basis
from planner.jobpack.page.measures import degrees_text, grouped
from planner.loads.checks import USUAL_KNOT
from planner.loads.end_assembly import assembly_forces
from planner.loads.turns_and_uplift import PostLoad
from planner.loads.wire_tension import KNOTS
from planner.materials.roll_plan import RollPlan
from planner.materials.takeoff import TakeoffRow
from planner.sections.posts import Post
from planner.sections.strains import Section
from planner.spec.fence_type import FenceType
from planner.units import POUND_KG, Metre

AFTER_STRAINING = frozenset({"bridge the dip and infill", "separate section"})


@dataclass(frozen=True, slots=True)
class NamedPost:
    """A post of the section with its name and its loads.

    Attributes:
        name: Its name.
        post: The post.
        load: Its loads. Advisory.
    """

    name: str
    post: Post
    load: PostLoad


@dataclass(frozen=True, slots=True)
class JoinPlace:
    """Where a join is made, as the crew finds it.

    Attributes:
        join: The join.
        from_start_m: Distance from the section's start along the ground. [m]
        before: Name of the post before it.
        after: Name of the post after it.
    """

    join: SectionJoin
    from_start_m: Metre
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Fit:
    """How roomy a page is laid out; a section that does not go on one page roomily is laid out closer.

    Attributes:
        drawing: Height of the drawing of the fence. [mm]
        strip: Height of the profile. [mm]
        text: Size of the text. [pt]
        row: Distance of boxes to tick. [mm]
        table: Size of the letters of tables. [pt]
        tabled: Whether the parts stand in a table of their own.
        noted: Whether the figures carry their notes, and rise and dip posts their breaks.
    """

    drawing: float
    strip: float
    text: float
    row: float
    table: float
    tabled: bool
    noted: bool = True


@dataclass(frozen=True, slots=True)
class Goods:
    """What goes into a section.

    Attributes:
        quantities: Item key to net quantity.
        cuts: Item key to the pieces cut: number of the roll, and length. [m]
    """

    quantities: Mapping[str, float]
    cuts: Mapping[str, list[tuple[int, float]]]


def posts_in(line: LinePlan, section: Section) -> list[NamedPost]:
    """Posts from a section's start to its end, both included.

    Args:
        line: Plan of its line.
        section: The section.
    """
    low = bisect.bisect_left(line.posts, section.from_m - 1e-6, key=lambda p: p.chainage_m)
    high = bisect.bisect_right(line.posts, section.to_m + 1e-6, key=lambda p: p.chainage_m)
    return [NamedPost(line.post_names[k], line.posts[k], line.loads[k]) for k in range(low, high)]


def join_places(basis: Basis, line: LinePlan, section: Section, posts: Sequence[NamedPost]) -> list[JoinPlace]:
    """The joins of a section, each with the posts it lies between.

    Args:
        basis: Basis of the sheets.
        line: Plan of the line.
        section: The section.
        posts: Its posts, as ``posts_in``.
    """
    start = float(line.ground.slope_at(section.from_m))
    found = []
    for join in basis.joins.get(section.id, ()):
        k = bisect.bisect_left(posts, join.chainage_m, key=lambda p: p.post.chainage_m)
        before = posts[k - 1].name if 0 < k <= len(posts) else "the start"
        after = posts[k].name if k < len(posts) else "the end"
        found.append(JoinPlace(join, float(line.ground.slope_at(join.chainage_m)) - start, before, after))
    return found


def first_posts(posts: Sequence[NamedPost]) -> list[NamedPost]:
    """Rise and dip posts, which are driven before the others and which the guide wire is fixed to.

    Args:
        posts: Posts of a section.
    """
    return [p for p in posts if p.post.kind in ("rise", "dip")]


def held_down(posts: Sequence[NamedPost]) -> list[NamedPost]:
    """Posts that need more than themselves to stay down, the one that is lifted most first.

    Args:
        posts: Posts of a section.
    """
    return sorted((p for p in posts if p.load.hold_down != "none"), key=lambda p: (-p.load.uplift_n, p.post.chainage_m))


def dips_deepest_first(posts: Sequence[NamedPost]) -> list[NamedPost]:
    """Dip posts in the order in which the wires are pulled down to them.

    Args:
        posts: Posts of a section.
    """
    return sorted((p for p in posts if p.post.kind == "dip"), key=lambda p: (-p.post.break_deg, p.post.chainage_m))


def post_words(basis: Basis, named: NamedPost) -> str:
    """A rise or dip post in a few words.

    Args:
        basis: Basis of the sheets.
        named: The post.
    """
    return f"{named.name} ({named.post.kind} {degrees_text(named.post.break_deg)})"


def take_offs_by_section(rows: Sequence[TakeoffRow]) -> dict[str, dict[str, float]]:
    """Section id to item key to net quantity.

    Args:
        rows: Materials list of the job.
    """
    found: dict[str, dict[str, float]] = {}
    for row in rows:
        for section, quantity in row.by_section:
            found.setdefault(section, {})[row.item] = quantity
    return found


def pouch(basis: Basis, fence: FenceType, quantities: Mapping[str, float]) -> Iterator[str]:
    """What has to be in the pouch for a section, one phrase an item.

    Args:
        basis: Basis of the sheets.
        fence: Fence type.
        quantities: Item key to net quantity in the section.
    """
    measures, settings = basis.measures, basis.plan.job.settings
    knotted = sum(not s.end_items for s in fence.strands if s.strain_n > 0.0)
    wires = knotted + (fence.mesh.line_wires if fence.mesh else 0)
    if wires:
        of = "1 wire" if wires == 1 else f"{wires} wires"
        tail = measures.height(settings.knot_tail_m)
        yield f"{2 * wires} termination knots ({of}, 2 ends), each with a tail of {tail}"
    for key in _fixings(fence):
        item = basis.plan.catalogue.items.get(key)
        quantity = quantities.get(key, 0.0)
        if item is None or quantity <= 0.0:
            continue
        if item.unit == "each":
            yield f"{grouped(quantity, 0)} × {item.description}"
        else:
            pieces = quantity * item.pieces_per_unit
            counted = f" (about {grouped(pieces, 0)})" if item.pieces_per_unit > 1.0 else ""
            amount = quantity / POUND_KG if item.unit == "kg" and not measures.is_metric else quantity
            unit = measures.mass_unit if item.unit == "kg" else item.unit
            yield f"{grouped(amount, 2)} {unit} {item.description}{counted}"
    tails = [f"{measures.short(fence.mesh.tail_m)} of mesh"] if fence.mesh else []
    plain = sorted({s.tail_m for s in fence.strands if s.strain_n > 0.0})
    tails += [f"{measures.short(tail)} of each wire" for tail in plain]
    if tails:
        yield f"leave at each end, tied off and cut later: {' and '.join(tails)}"


def fixing_rules(fence: FenceType) -> str:
    """How each wire is fixed to each post, in a few words; empty where nothing is.

    Args:
        fence: Fence type.
    """
    words: list[str] = []
    mesh = fence.mesh
    if mesh is not None:
        words.append(f"mesh {mesh.ties_per_steel_post} ties a steel post, {mesh.staples_per_timber_post} staples a "
                     "timber post")
    rules = {"every-post": "every post", "every-second-post": "every second post",
             "droppers-too": "every post and dropper", "none": "no post"}
    by_rule: dict[str, list[str]] = {}
    for strand in fence.strands:
        by_rule.setdefault(rules[strand.tie], []).append(strand.name)
    words += [f"{', '.join(names)} {'once at ' if where != 'no post' else 'at '}{where}" for where, names in
              by_rule.items()]
    return "; ".join(words)


def end_force_words(basis: Basis, line: LinePlan, section: Section) -> str:
    """What the bracing of a section's ends carries under the full pull from one side; empty where nothing is braced.

    Args:
        basis: Basis of the sheets.
        line: Plan of the line.
        section: The section.
    """
    measures, told = basis.measures, []
    for key in dict.fromkeys((section.start.assembly, section.end.assembly)):
        assembly = basis.plan.catalogue.assemblies.get(key)
        if assembly is None or assembly.form in ("post", "hand"):
            continue
        forces = assembly_forces(line.fence, assembly)
        brace = f", brace wire {measures.force(forces.brace_wire_n)}" if forces.brace_wire_n else ""
        rail = "rail" if assembly.form == "box" else "stay"
        told.append(f"{assembly.description}: {rail} {measures.force(forces.rail_n)}{brace}, end post lifted by "
                    f"{measures.force(forces.uplift_n)}")
    return f"{'. '.join(told)}. Full pull from one side, posts hinged at the ground; advisory." if told else ""


def join_words(line: LinePlan, joins: Sequence[SectionJoin]) -> str:
    """How long the joins of a section take each, and what a knot would leave of a wire; empty where there is neither.

    Args:
        line: Plan of the line.
        joins: Joins of the section.
    """
    rates = line.fence.labour
    minutes = (("mid-run", "a join strained both ways", rates.mid_run_join),
               ("roll", "a roll join", rates.roll_join if line.fence.mesh is not None else 0.0))
    told = [f"about {60.0 * hours:.0f} min for {what}" for kind, what, hours in minutes
            if hours > 0.0 and any(join.kind in (kind, "both") for join in joins)]
    if not told:
        return ""
    knot = KNOTS[USUAL_KNOT]
    return (f"Allow {' and '.join(told)}, by the fence type's hours. A {USUAL_KNOT} knot keeps about "
            f"{100 * knot.share:.0f} % of what a high tensile wire breaks at: use sleeves or connectors made for it.")


def cuts_by_section(plans: Mapping[str, RollPlan]) -> dict[str, dict[str, list[tuple[int, Metre]]]]:
    """Section id to item key to the pieces cut for it: number of the roll, and length.

    Args:
        plans: Roll plans by item.
    """
    found: dict[str, dict[str, list[tuple[int, Metre]]]] = {}
    for key, plan in plans.items():
        cuts = [(cut.section, cut.demand, cut.start_m, roll.stock, cut.length_m) for roll in plan.rolls
                for cut in roll.cuts]
        for section, _, _, stock, length in sorted(cuts):
            found.setdefault(section, {}).setdefault(key, []).append((stock, length))
    return found


def _fixings(fence: FenceType) -> list[str]:
    keys: list[str] = []
    if fence.mesh is not None:
        keys += [fence.mesh.sleeve_item, fence.mesh.tie_item, fence.mesh.staple_item]
    for strand in fence.strands:
        keys += [*strand.end_items, strand.join_item, strand.tie_item, strand.timber_tie_item]
    keys += [netting.ring_item for netting in fence.nettings]
    keys.append(fence.posts.dropper_clip_item)
    return [key for key in dict.fromkeys(keys) if key]
