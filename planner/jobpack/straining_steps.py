"""The lower part of the straining sheet: steps, pouch, boxes to tick, blanks to fill, cautions."""

from __future__ import annotations

from planner.job.plan import LinePlan
from planner.jobpack.basis import Basis
from planner.jobpack.fence_drawing import is_asymmetric
from planner.jobpack.page.flow import Flow
from planner.jobpack.page.lettering import fitted_size, line_height, paragraph, text_width, wrapped
from planner.jobpack.page.measures import Measures, grouped
from planner.jobpack.page.records import FAINT, INK, Mark, Stroke, Text, box
from planner.jobpack.straining_facts import (
    AFTER_STRAINING,
    Fit,
    Goods,
    NamedPost,
    dips_deepest_first,
    first_posts,
    fixing_rules,
    held_down,
    post_words,
    pouch,
)
from planner.loads.cautions import ADVISORY, CAUTIONS, cautions_for
from planner.units import KGF_N

GUIDE_WIRE_N = 45.0 * KGF_N
"""Tension of the guide wire: common practice, no source. [N]"""
_SLACK = (" Mesh goes slack at the top in a dip and at the bottom on a crest: gather it only as a last resort (common "
          "practice, no source).")
_ON_PAGE = ("first-end", "cutting", "barbed-electric")


def before(basis: Basis, line: LinePlan, posts: list[NamedPost], flow: Flow, fit: Fit) -> None:
    """What is done before and while straining: posts to fix first, posts at turns, hold-downs, dips.

    Args:
        basis: Basis of the sheets.
        line: Plan of the line.
        posts: Posts of the section.
        flow: The page.
        fit: How roomy the page is.
    """
    measures, pt = basis.measures, fit.text
    first, held, dips = first_posts(posts), held_down(posts), dips_deepest_first(posts)
    if first:
        names = ", ".join(post_words(basis, p) if fit.noted else p.name for p in first)
        flow.text(f"Fix first, and the guide wire to them: {names}.", size_pt=pt, bullet="1")
    else:
        flow.text("No rise or dip posts here: drive line posts to the guide wire.", size_pt=pt, bullet="1")
    turned = [p for p in posts if p.post.kind == "deviation"]
    if turned:
        names = "; ".join(_turn_words(basis, p, line.line.wires_on) for p in turned)
        flow.text(f"Posts at a slight turn, leaned out from it, the wires on its outside so that they pull onto the "
                  f"post: {names}.", size_pt=pt, bullet="1")
    early = [p for p in held if p.load.hold_down not in AFTER_STRAINING]
    late = [p for p in held if p.load.hold_down in AFTER_STRAINING]

    def lifted(some: list[NamedPost]) -> str:
        return ", ".join(f"{p.name} at {measures.length(p.post.chainage_m)} lifts {measures.force(p.load.uplift_n)}: "
                         f"{p.load.hold_down}" for p in some)

    if early:
        flow.text(f"Hold down BEFORE straining: {lifted(early)}.", size_pt=pt, weight="semibold", bullet="2")
    if late:
        flow.text(f"AFTER straining: {lifted(late)}.", size_pt=pt, weight="semibold", bullet="2")
    if not held:
        flow.text("No hold-downs: no post here is lifted by more than it holds in this ground.", size_pt=pt, bullet="2")
    has_slack = line.fence.mesh is not None
    if dips:
        flow.text("Strain to about two thirds, pull down and fix the dip posts from the deepest outwards ("
                  + ", ".join(p.name for p in dips) + "), then finish the strain." + _SLACK * has_slack, size_pt=pt,
                  bullet="3")


def _turn_words(basis: Basis, named: NamedPost, wires_on: str) -> str:
    """A deviation post: which way it turns, what pulls it sideways, and where the wires would pull off it."""
    side = "left" if named.post.turn_deg > 0.0 else "right"
    inside = ", wires on its INSIDE here: tie them round the post" if side == wires_on else ""
    stay = ", STAY IT" if named.load.deviation_class == "stayed" else ""
    pull = basis.measures.force(named.load.side_n)
    return (f"{named.name} at {basis.measures.length(named.post.chainage_m)} turns "
            f"{grouped(abs(named.post.turn_deg), 1)}° {side}, {pull} sideways{stay}{inside}")


def pouch_and_cuts(basis: Basis, line: LinePlan, goods: Goods, flow: Flow, fit: Fit) -> None:
    """What has to be in the pouch, how wires are fixed, and the lengths to cut.

    Args:
        basis: Basis of the sheets.
        line: Plan of the line.
        goods: What goes into the section.
        flow: The page.
        fit: How roomy the page is.
    """
    pt = fit.text
    flow.text("In the pouch: " + "; ".join(pouch(basis, line.fence, goods.quantities)) + ". Fix "
              f"{fixing_rules(line.fence)}.", size_pt=pt, bullet="+")
    if goods.cuts:
        cuts = "; ".join(f"{basis.plan.catalogue.items[key].description}: " + ", ".join(
            f"{basis.measures.number(length, 1 if basis.measures.is_metric else 2)} off {stock}"
            for stock, length in pieces) for key, pieces in goods.cuts.items())
        flow.text(f"Lengths to cut in {basis.measures.length_unit}, tails included, and off which roll or coil: "
                  f"{cuts}.", size_pt=pt, bullet="+")
    hung = [f"{n.name}, {basis.measures.short(n.width_m)} wide, {grouped(n.rings_per_m, 1)} rings a metre"
            for n in line.fence.nettings]
    if hung:
        flow.text(f"Hung on the wires after straining: {'; '.join(hung)}.", size_pt=pt, bullet="+")


def boxes(measures: Measures, line: LinePlan, posts: list[NamedPost], flow: Flow, fit: Fit, *,
          is_joined: bool) -> None:
    """Boxes to tick, in four columns.

    Args:
        measures: How values are written.
        line: Plan of the line.
        posts: Posts of the section.
        flow: The page.
        fit: How roomy the page is.
        is_joined: Whether the mesh has a join here.
    """
    words = ["ends finished, services located",
             *(["rise and dip posts in and held down"] if first_posts(posts) or held_down(posts) else []),
             f"guide wire straight, about {measures.hand_force(GUIDE_WIRE_N)}", "first end tied off, free end held"]
    mesh = line.fence.mesh
    if mesh is not None:
        words += ["joined flat, on the stock side" if is_joined else "laid flat, on the stock side",
                  "small openings down" if is_asymmetric(mesh) else "mesh right side up",
                  "top and bottom pulled together", "crimp about half its depth"]
    else:
        words += ["paid out from a spinner, no loops", "joins staggered, off the ends"]
    if dips_deepest_first(posts):
        words.append("dips fixed at two thirds")
    words += ["first wire checked again", "ties loose: wires slide past posts", "heights checked, nothing lifts"]
    form, pt, step = flow.form, fit.text, fit.row
    rows = (len(words) + 3) // 4
    flow.need(rows * step + 2.0)
    flow.gap(0.8)
    marks: list[Mark] = []
    wide = form.inner_width / 4
    for k, text in enumerate(words):
        x, y = form.left + (k // rows) * wide, flow.y + (k % rows) * step
        marks.append(box(x + 0.3, y + 0.4, 3.0, 3.0, width_mm=0.3))
        marks.append(Text(x + 4.2, y + 3.0, text, fitted_size(text, width=wide - 5.0, size_pt=pt)))
    flow.put(marks, rows * step + 1.0)


def blanks(basis: Basis, flow: Flow) -> None:
    """Blanks to fill by hand, in two rows of three.

    Args:
        basis: Basis of the sheets.
        flow: The page.
    """
    measures = basis.measures
    words = (f"Air temperature {measures.temperature_unit}", f"Measured pull {measures.force_unit}", "Strained from",
             "Date", "Name", "Re-strain date")
    form = flow.form
    wide, tall = form.inner_width / 3, 6.6
    flow.need(2 * tall + 6.0)
    marks: list[Mark] = []
    for k, text in enumerate(words):
        x, y = form.left + (k % 3) * wide, flow.y + (k // 3) * tall
        start = x + text_width(text, size_pt=7.8, weight="semibold") + 1.5
        marks.append(Text(x, y + 4.8, text, 7.8, "semibold"))
        marks.append(Stroke(((start, y + 5.2), (x + wide - 4.0, y + 5.2)), 0.2, INK, "dotted"))
    flow.put(marks, 2 * tall + 0.5)
    flow.text("Re-strain after 1 to 4 weeks and again after the first season, in cool weather: wires strained hard in "
              "summer have pulled corners out in winter.", size_pt=6.4, colour=FAINT)


def stand_clear(flow: Flow) -> None:
    """The line of pull, first of all and in a frame.

    Args:
        flow: The page.
    """
    form, pt = flow.form, 8.4
    words = next(caution.text for caution in CAUTIONS if caution.key == "stand-clear")
    lines = wrapped(words, width=form.inner_width - 5.0, size_pt=pt, weight="bold")
    height = len(lines) * line_height(pt) + 2.2
    texts = paragraph(form.left + 2.5, flow.y + 1.0, words, width=form.inner_width - 5.0, size_pt=pt, weight="bold")
    flow.put([box(form.left, flow.y, form.inner_width, height, width_mm=0.6), *texts], height + 2.2)


def cautions(line: LinePlan, flow: Flow) -> None:
    """What else can hurt while wire is handled, and that all loads are advisory.

    Args:
        line: Plan of the line.
        flow: The page.
    """
    found = {caution.key: caution.text for caution in cautions_for(line.fence)}
    own = [text for text in line.fence.cautions
           if not any(known in text for known in ("cool weather", "electrified", "small openings go down"))]
    flow.text(" ".join((*(found[key] for key in _ON_PAGE if key in found), *own, ADVISORY.text)), size_pt=6.8)
