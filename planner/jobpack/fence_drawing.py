"""The fence seen from the side, to scale: wires and mesh at their heights, and which way up the mesh goes."""

from __future__ import annotations

from collections.abc import Sequence

from planner.jobpack.page.lettering import text_width
from planner.jobpack.page.measures import Measures
from planner.jobpack.page.records import FAINT, INK, PAPER, Area, Mark, Stroke, Strokes, Text, box
from planner.jobpack.page.spread import kept_apart
from planner.jobpack.wire_order import WireStep
from planner.spec.fence_type import FenceType
from planner.spec.meshes import Mesh

_LABELS_MM = 41.0
_LABEL_PT = 7.0
_STEP_MM = 3.0
_BELOW_MM = 5.5


def draw_fence(fence: FenceType, steps: Sequence[WireStep], measures: Measures, *, x: float, y: float, width: float,
               height: float) -> list[Mark]:
    """A panel of the fence with the height of every wire, numbered in the order of straining.

    Args:
        fence: Fence type.
        steps: Its wires in the order of straining.
        measures: How values are written.
        x: Left edge. [mm]
        y: Upper edge. [mm]
        width: Width. [mm]
        height: Height. [mm]
    """
    base = y + height - _BELOW_MM
    panel = width - _LABELS_MM
    # The top wire stands under the edge, and a post a little above it.
    per_m = (base - y - 3.5) / (fence.height_m * 1.06)
    marks = _ground(x, base, panel)
    inner_left, inner_right = x + 6.0, x + panel - 2.0
    if fence.mesh is not None:
        marks += _mesh(fence.mesh, per_m, base, inner_left, inner_right)
    for strand in fence.strands:
        marks += _strand(strand.kind == "barbed", inner_left, inner_right, base - strand.height_m * per_m)
    post_top = base - fence.height_m * 1.05 * per_m
    for at in (inner_left + 2.0, inner_right - 5.0):
        marks.append(box(at, post_top, 1.6, base - post_top + 3.0, fill=PAPER, width_mm=0.3))
    marks += _heights(fence, steps, measures, per_m=per_m, base=base, x=inner_right, right=x + width, top=y)
    if fence.mesh is not None and is_asymmetric(fence.mesh):
        marks += _this_way_up(fence.mesh, per_m, base, (inner_left + inner_right) / 2)
    return marks


def is_asymmetric(mesh: Mesh) -> bool:
    """Whether a mesh has a right way up: its lowest openings are smaller than its highest.

    Args:
        mesh: The mesh.
    """
    heights = mesh.line_wire_heights_m
    return len(heights) > 2 and heights[-1] - heights[-2] > heights[1] - heights[0] + 1e-6


def _ground(x: float, base: float, panel: float) -> list[Mark]:
    ticks = [(x + k * 2.4, base + 1.8, x + k * 2.4 + 1.6, base) for k in range(int(panel / 2.4))]
    return [Strokes(tuple(ticks), 0.15, FAINT), Stroke(((x, base), (x + panel, base)), 0.4, INK)]


def _mesh(mesh: Mesh, per_m: float, base: float, left: float, right: float) -> list[Mark]:
    foot = base - mesh.gap_below_m * per_m
    wires = [(left, foot - h * per_m, right, foot - h * per_m) for h in mesh.line_wire_heights_m]
    top = foot - mesh.height_m * per_m
    step = max(mesh.picket_spacing_m * per_m, 0.8)
    pickets = [(left + step * (k + 0.5), foot, left + step * (k + 0.5), top) for k in range(int((right - left) / step))]
    return [Strokes(tuple(wires), 0.3, INK), Strokes(tuple(pickets), 0.18, INK)]


def _strand(barbed: bool, left: float, right: float, y: float) -> list[Mark]:
    marks: list[Mark] = [Stroke(((left, y), (right, y)), 0.45, INK)]
    if barbed:
        barbs = [(left + 2.5 + 4.0 * k + s, y - 1.1, left + 2.5 + 4.0 * k - s, y + 1.1)
                 for k in range(int((right - left - 3.0) / 4.0)) for s in (0.7, -0.7)]
        marks.append(Strokes(tuple(barbs), 0.25, INK))
    return marks


def _this_way_up(mesh: Mesh, per_m: float, base: float, middle: float) -> list[Mark]:
    """A plate over the mesh, with an arrow to the ground."""
    words = ("SMALL", "OPENINGS", "DOWN")
    wide = max(text_width(w, size_pt=8.5, weight="bold") for w in words) + 4.0
    y = base - (mesh.gap_below_m + mesh.height_m * 0.62) * per_m
    plate = box(middle - wide / 2, y - 4.0, wide, 19.0, fill=PAPER, width_mm=0.4)
    texts = [Text(middle, y + 0.4 + 3.7 * k, w, 8.5, "bold", "middle") for k, w in enumerate(words)]
    at = y + 9.4
    arrow = Area(((middle - 1.1, at), (middle + 1.1, at), (middle + 1.1, at + 2.2), (middle + 2.7, at + 2.2),
                  (middle, at + 5.2), (middle - 2.7, at + 2.2), (middle - 1.1, at + 2.2)), INK, "")
    return [plate, *texts, arrow]


def _heights(fence: FenceType, steps: Sequence[WireStep], measures: Measures, *, per_m: float, base: float, x: float,
             right: float, top: float) -> list[Mark]:
    """Height and name of every wire at the right, led to it; the number of its turn where it has one."""
    named = sorted(((height, name, step.number) for step in steps for height, name in step.wires), key=lambda n: n[0])
    wanted = [base - height * per_m for height, _, _ in reversed(named)]
    places = kept_apart(wanted, least=_STEP_MM, low=top + 1.5, high=base + _BELOW_MM - 1.0)
    marks: list[Mark] = []
    for k, ((height, name, number), at, y) in enumerate(zip(reversed(named), wanted, places, strict=True)):
        words = measures.height(height) if k == 0 else measures.height_number(height)
        marks.append(Stroke(((x, at), (x + 2.0, at), (x + 4.5, y), (x + 5.5, y)), 0.12, FAINT))
        unit = text_width(words, size_pt=_LABEL_PT, weight="semibold") - text_width(
            measures.height_number(height), size_pt=_LABEL_PT, weight="semibold")
        marks.append(Text(x + 13.5 + unit, y + 0.9, words, _LABEL_PT, "semibold", "right"))
        marks.append(Text(x + 19.0, y + 0.9, f"({number}) {name}", _name_pt(f"({number}) {name}", right - x - 19.0)))
    return marks


def _name_pt(name: str, room: float) -> float:
    wide = text_width(name, size_pt=_LABEL_PT)
    return _LABEL_PT if wide <= room else max(4.5, _LABEL_PT * room / wide)
