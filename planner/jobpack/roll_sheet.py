"""The cutting plan: every roll and coil as a bar, with the pieces that come off it in order."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from planner.jobpack.basis import Basis
from planner.jobpack.page.flow import Flow
from planner.jobpack.page.form import Form
from planner.jobpack.page.lettering import line_height, text_width, wrapped
from planner.jobpack.page.measures import Measures, grouped
from planner.jobpack.page.records import BAND, FAINT, INK, PAPER, Mark, Page, Strokes, Symbol, Text, box
from planner.materials.roll_plan import Cut, Roll, RollPlan

_BAR_MM = 6.0
_NAME_MM = 30.0
_ROW_MM = 8.6
_PT = 6.6
_SAME_M = 0.01
_WORTH_SAYING_M = 0.5


@dataclass(frozen=True, slots=True)
class _Scale:
    """From metres of roll to paper.

    Attributes:
        left: Where a roll starts. [mm]
        per_m: Millimetres on paper for a metre of roll. [mm/m]
    """

    left: float
    per_m: float


def roll_pages(basis: Basis) -> tuple[Page, ...]:
    """The cutting plan of every roll and coil item.

    Args:
        basis: Basis of the sheets.
    """
    flow = Flow(Form(basis.choice.drawings, landscape=True), "Roll and coil cutting plan")
    for key, plan in basis.plan.roll_plans.items():
        if plan.rolls:
            _item(basis, key, plan, flow)
    if any(plan.rolls for plan in basis.plan.roll_plans.values()):
        flow.text("Each bar is one roll or coil, cut from the left. In a piece: section, part and length to cut, tails "
                  "included. Two rings: the piece is joined to one from another roll. Hatched: what is left. Small "
                  "letters: the piece is named under its bar.", size_pt=7.5, colour=FAINT)
    return flow.pages()


def _item(basis: Basis, key: str, plan: RollPlan, flow: Flow) -> None:
    measures = basis.measures
    item = basis.plan.catalogue.items.get(key)
    left = sum(roll.left_m for roll in plan.rolls)
    flow.heading(item.description if item else key, keep_with=30.0)
    flow.text(f"{_rolls_words(measures, plan)}; {plan.joins} joins between rolls; {measures.length(left, 0)} left "
              "over. "
              f"{_proof_words(plan)}", size_pt=8.0)
    form = flow.form
    longest = max(roll.length_m for roll in plan.rolls)
    scale = _Scale(form.left + _NAME_MM, (form.inner_width - _NAME_MM) / longest)
    joined = _joined(plan)
    for roll in _with_short_names(plan):
        marks, below = _bar(measures, roll, scale, 0.0, joined)
        lines = wrapped("; ".join(below), width=form.inner_width - _NAME_MM, size_pt=_PT) if below else ()
        height = _ROW_MM + len(lines) * line_height(_PT)
        flow.need(height)
        marks, below = _bar(measures, roll, scale, flow.y, joined)
        marks += [Text(scale.left, flow.y + _BAR_MM + 2.7 + k * line_height(_PT), text, _PT)
                  for k, text in enumerate(lines)]
        flow.put(marks, height)


def _with_short_names(plan: RollPlan) -> list[Roll]:
    """Rolls with their pieces called as the straining sheet does: a mesh by its part only where there are several."""
    several = {cut.section for roll in plan.rolls for cut in roll.cuts if cut.part == "sub-run 2"}

    def named(cut: Cut) -> Cut:
        if not cut.part.startswith("sub-run"):
            return cut
        return replace(cut, part=cut.part.replace("sub-run", "part") if cut.section in several else "")

    return [replace(roll, cuts=tuple(named(cut) for cut in roll.cuts)) for roll in plan.rolls]


def _rolls_words(measures: Measures, plan: RollPlan) -> str:
    lengths: dict[float, int] = {}
    for roll in plan.rolls:
        lengths[roll.length_m] = lengths.get(roll.length_m, 0) + 1
    return " and ".join(f"{count} × {measures.length(length, 0)}" for length, count in
                        sorted(lengths.items(), reverse=True))


def _proof_words(plan: RollPlan) -> str:
    if plan.status == "optimal":
        return "No cheaper plan exists (proven)."
    if plan.status == "greedy":
        return "Cut in order, not optimised."
    return f"At most {grouped(100 * plan.gap, 2)} % above the cheapest plan there can be."


def _joined(plan: RollPlan) -> set[int]:
    """Demands that are covered from more than one roll."""
    rolls: dict[int, set[int]] = {}
    for roll in plan.rolls:
        for cut in roll.cuts:
            rolls.setdefault(cut.demand, set()).add(roll.stock)
    return {demand for demand, numbers in rolls.items() if len(numbers) > 1}


def _bar(measures: Measures, roll: Roll, scale: _Scale, y: float, joined: set[int]) -> tuple[list[Mark], list[str]]:
    """One roll, and the names of those pieces that are too short to hold them."""
    marks: list[Mark] = [Text(scale.left - 2.0, y + 4.2, f"{roll.stock} · {measures.length(roll.length_m, 0)}", 7.6,
                              "semibold", "right")]
    below: list[str] = []
    letters = _letters()
    at = 0.0
    for k, cut in enumerate(roll.cuts):
        x, width = scale.left + at * scale.per_m, cut.length_m * scale.per_m
        marks.append(box(x, y, width, _BAR_MM, fill=BAND if k % 2 else PAPER, width_mm=0.25))
        marks += _piece(measures, cut, x, y, width, below, letters)
        if cut.demand in joined and cut.start_m > _SAME_M:
            marks.append(Symbol("roll join", x, y + _BAR_MM / 2, 2.4))
        at += cut.length_m
    if roll.left_m > _SAME_M:
        x, width = scale.left + at * scale.per_m, roll.left_m * scale.per_m
        marks += [*_hatched(x, y, width), box(x, y, width, _BAR_MM, width_mm=0.25)]
        words = f"{measures.number(roll.left_m)} left"
        if text_width(words, size_pt=_PT) < width - 2.0:
            wide = text_width(words, size_pt=_PT) + 1.4
            marks.append(box(x + width / 2 - wide / 2, y + 1.4, wide, 3.4, fill=PAPER, edge=""))
            marks.append(Text(x + width / 2, y + 4.0, words, _PT, "regular", "middle"))
        elif roll.left_m >= _WORTH_SAYING_M:
            below.append(f"left: {measures.length(roll.left_m)}")
    return marks, below


def _piece(measures: Measures, cut: Cut, x: float, y: float, width: float, below: list[str],
           letters: Iterator[str]) -> list[Mark]:
    length = measures.number(cut.length_m, 1 if measures.is_metric else 2)
    whole = f"{cut.section} {cut.part}".rstrip()
    for words in (f"{whole} · {length}", f"{cut.section} · {length}"):
        if text_width(words, size_pt=_PT) < width - 4.5:
            return [Text(x + width / 2, y + 4.0, words, _PT, "regular", "middle")]
    if text_width(cut.section, size_pt=_PT, weight="semibold") < width - 4.0 and \
            text_width(length, size_pt=5.6) < width - 4.0:
        return [Text(x + width / 2, y + 2.7, cut.section, 6.2, "semibold", "middle"),
                Text(x + width / 2, y + 5.2, length, 5.6, "regular", "middle")]
    letter = next(letters)
    below.append(f"{letter}: {whole} {length}\u00a0{measures.length_unit}")
    if text_width(letter, size_pt=_PT) < width - 0.4:
        return [Text(x + width / 2, y + 4.0, letter, _PT, "italic", "middle")]
    return []


def _letters() -> Iterator[str]:
    number = 0
    while True:
        round_number, place = divmod(number, 26)
        yield chr(ord("a") + place) * (round_number + 1)
        number += 1


def _hatched(x: float, y: float, width: float) -> list[Mark]:
    """Slanting strokes inside a bar."""
    strokes = []
    step = 1.6
    for k in range(int((width + _BAR_MM) / step) + 1):
        x0, x1 = x + k * step - _BAR_MM, x + k * step
        low, high = max(x0, x), min(x1, x + width)
        if high > low:
            strokes.append((low, y + _BAR_MM - (low - x0), high, y + _BAR_MM - (high - x0)))
    return [Strokes(tuple(strokes), 0.12, INK)] if strokes else []
