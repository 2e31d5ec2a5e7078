"""Set-out: the pegs of the line in hand, from each to the next, and which peg sees which."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from planner.jobpack.page.measures import grouped
from planner.render.symbols import SYMBOL_OF_PEG
from planner.ui.document import Selection
from planner.ui.measures import count
from planner.ui.panels.cards import Words
from planner.ui.panels.combo import Combo
from planner.ui.panels.fields import SettingField
from planner.ui.panels.pairs import Pair, Pairs
from planner.ui.panels.panel import LineChooser, StepPanel, soft
from planner.ui.panels.rows_model import Column
from planner.ui.panels.table import RowTable
from planner.units import Degree, Metre

if TYPE_CHECKING:
    from planner.job.plan import LinePlan
    from planner.setout.pegs import Peg

_ALL = "every kind"
_SAME_M = 0.02


@dataclass(frozen=True, slots=True)
class PegRow:
    """A peg, and the way from it to the next.

    Attributes:
        peg: The peg.
        bearing_deg: Grid bearing to the next peg. [deg] None at the last.
        ground_m: Ground distance to the next peg. [m] None at the last.
        next: Name of the next peg; empty at the last.
    """

    peg: Peg
    bearing_deg: Degree | None
    ground_m: Metre | None
    next: str


@dataclass(frozen=True, slots=True)
class SightRow:
    """Whether a peg is seen from the one before it.

    Attributes:
        start: Name of the first.
        to: Name of the second.
        seen: True without pegs between.
        between: Names of the pegs added between.
        from_m: Chainage of the first. [m]
    """

    start: str
    to: str
    seen: bool
    between: tuple[str, ...]
    from_m: Metre


class SetoutPanel(StepPanel):
    """The panel of the set-out."""

    KEY = "setout"

    def build(self) -> Iterator[None]:
        """Puts the cards of the panel into its column, a piece a turn."""
        self.head = self.card("Set-out")
        self.chooser, self.nothing = LineChooser(self.document), Words()
        self.kinds = Combo("Kind of pegs shown")
        self.kinds.activated.connect(lambda _: self._filter())
        self.kinds_label = soft("Show")
        self.pegs = RowTable("Pegs", (
            Column("peg", lambda row: row.peg.name, strong=True),
            Column("kind", lambda row: row.peg.kind, stretch=True, symbol=lambda row: SYMBOL_OF_PEG[row.peg.kind]),
            Column("at", lambda row: self.measures.figure(row.peg.chainage_m), right=True, tip="Chainage"),
            Column("bearing", self._bearing, right=True, tip="Grid bearing to the next peg"),
            Column("next", lambda row: "" if row.ground_m is None else self.measures.figure(row.ground_m, 2),
                   right=True, tip="Ground distance to the next peg"),
            Column("E", lambda row: grouped(row.peg.x, 2), right=True, spare=1),
            Column("N", lambda row: grouped(row.peg.y, 2), right=True, spare=1),
        ), key=lambda row: row.peg.name, most=14)
        self.pegs.chosen.connect(self._take_peg)
        self.head.add(self.chooser)
        self.head.add_row(self.kinds_label, self.kinds, stretch=1)
        self.head.add(self.pegs, self.nothing)
        yield
        self.peg_card = self.card("Peg")
        self.facts, self.note = Pairs(), Words()
        self.peg_card.add(self.facts, self.note)
        yield
        self._build_sight()

    def _build_sight(self) -> None:
        self.sight_card = self.card("Which peg sees the next")
        self.sight = RowTable("Which peg sees the next", (
            Column("from", lambda row: row.start, strong=True), Column("to", lambda row: row.to, strong=True),
            Column("", _sight_words, stretch=True, symbol=lambda row: "" if row.seen else "sight peg"),
        ), key=lambda row: row.start, most=6)
        self.sight.chosen.connect(self._take_sight)
        self.sight_words = Words()
        self.settings = [SettingField("eye_height_m", "Height of the eye", self.take_setting),
                         SettingField("peg_target_m", "Height of the target on a peg", self.take_setting)]
        self.sight_card.add(self.sight, self.sight_words, *self.settings)

    # showing

    def fill(self) -> None:
        """Shows the job and its plan as they are now."""
        plan = self.line
        self._shown = plan
        self.chooser.show_line()
        for widget in (self.pegs, self.kinds, self.kinds_label, self.sight_card, self.peg_card):
            widget.setVisible(plan is not None)
        self.nothing.say("" if plan is not None else self.without_plan(
            "There is no line yet, so no pegs. Draw a line, or bring in files."))
        for field in self.settings:
            field.show_setting(self.document.job.settings, self.measures)
        self._rows = pegs_to_next(plan) if plan is not None else ()
        kinds = sorted({row.peg.kind for row in self._rows}, key=list(SYMBOL_OF_PEG).index)
        chosen = str(self.kinds.currentData() or _ALL)
        numbers = [(kind, f"{kind}   {sum(row.peg.kind == kind for row in self._rows)}") for kind in kinds]
        self.kinds.show_choices([(_ALL, _ALL), *numbers], chosen if chosen in kinds else _ALL)
        self._filter()
        rows = sight_rows(plan) if plan is not None else ()
        self.sight.show_rows(rows)
        hidden = sum(not row.seen for row in rows)
        added = sum(len(row.between) for row in rows)
        self.sight_card.aside.setText(f"{len(rows) - hidden} of {len(rows)} seen" if rows else "")
        self.sight_words.say(f"{count(added, 'peg')} for sight only {'is' if added == 1 else 'are'} added, as few as "
                             "will do; trees and haze are not known." if hidden else
                             "Each is seen from the last over the ground; trees and haze are not known.")

    def _filter(self) -> None:
        kind = str(self.kinds.currentData() or _ALL)
        rows = [row for row in self._rows if kind in (_ALL, row.peg.kind)]
        self.pegs.show_rows(rows)
        self.head.aside.setText(f"{count(len(rows), 'peg')}, {self.measures.unit}" if self._rows else "")

    def show_selection(self) -> None:
        """Shows what is in hand."""
        if self.line is not self._shown:
            self.fill()
        at = self._chainage_in_hand()
        near = [row for row in self._rows if at is not None and abs(row.peg.chainage_m - at) < _SAME_M]
        self._show_peg(near[0] if near else None)

    def _chainage_in_hand(self) -> Metre | None:
        selection, plan = self.document.selection, self.line
        if plan is None:
            return None
        if selection.join_m is not None:
            return selection.join_m
        if selection.post in plan.post_names:
            return plan.posts[plan.post_names.index(selection.post)].chainage_m
        if selection.corner is not None and selection.corner < len(plan.corners):
            return plan.corners[selection.corner].chainage_m
        return self._sight_at

    def _show_peg(self, row: PegRow | None) -> None:
        self.pegs.choose(row.peg.name if row is not None else None)
        self.peg_card.title.setText(f"Peg {row.peg.name}" if row is not None else "Peg in hand")
        if row is None:
            self.facts.show_rows([], self.look)
            self.peg_card.aside.setText("")
            self.note.say("Choose a peg in the table, or a post or join on the map or the strip.")
            return
        peg = row.peg
        east, north = self.measures.place(peg.x, peg.y, self.document.job.crs)
        self.peg_card.aside.setText(peg.kind)
        rows = [Pair("Place", east), Pair("", north), Pair("Level", self.measures.length(peg.level_m, 2)),
                Pair("Chainage", self.measures.length(peg.chainage_m, 2))]
        if row.bearing_deg is not None and row.ground_m is not None:
            rows.append(Pair(f"To {row.next}", self.measures.length(row.ground_m, 2),
                             self.measures.bearing(row.bearing_deg)))
        self.facts.show_rows(rows, self.look)
        self.note.say(f"{peg.note[:1].upper()}{peg.note[1:].rstrip('.')}." if peg.note else "")

    def _bearing(self, row: PegRow) -> str:
        return "" if row.bearing_deg is None or (row.ground_m or 0.0) < 0.01 else self.measures.bearing(row.bearing_deg)

    # taking in hand

    def _take_peg(self, name: object) -> None:
        row = next((row for row in self._rows if row.peg.name == name), None)
        if row is not None:
            self._take(row.peg)

    def _take(self, peg: Peg) -> None:
        plan = self.line
        if plan is None:
            return
        post = next((n for p, n in zip(plan.posts, plan.post_names, strict=True)
                     if p.kind == peg.kind and abs(p.chainage_m - peg.chainage_m) < _SAME_M), "")
        self._sight_at = peg.chainage_m if not post and peg.kind != "join" else None
        self.document.select(Selection(plan.line.name, peg.section, post,
                                       peg.chainage_m if peg.kind == "join" else None))
        self.document.point_at(plan.line.name, peg.chainage_m)
        self.show_selection()

    def _take_sight(self, start: object) -> None:
        plan = self.line
        row = next((row for row in self.sight.rows if row.start == start), None)
        if plan is not None and row is not None:
            self.document.point_at(plan.line.name, row.from_m)

    _shown: LinePlan | None = None
    _rows: tuple[PegRow, ...] = ()
    _sight_at: Metre | None = None


def pegs_to_next(plan: LinePlan) -> tuple[PegRow, ...]:
    """The pegs of a line, each with the way to the next; on a closed line the last leads to the first.

    Args:
        plan: Plan of the line.
    """
    length = float(plan.ground.chainage_m[-1])
    rows = [_to(a, b, b.chainage_m - a.chainage_m) for a, b in pairwise(plan.pegs)]
    if plan.line.closed and len(plan.pegs) > 1:
        first, last = plan.pegs[0], plan.pegs[-1]
        return (*rows, _to(last, first, length - last.chainage_m + first.chainage_m))
    return (*rows, *(PegRow(peg, None, None, "") for peg in plan.pegs[-1:]))


def _to(peg: Peg, after: Peg, ground_m: Metre) -> PegRow:
    return PegRow(peg, math.degrees(math.atan2(after.x - peg.x, after.y - peg.y)) % 360.0, ground_m, after.name)


def sight_rows(plan: LinePlan) -> tuple[SightRow, ...]:
    """Which peg sees the next, with the pegs added between where it does not.

    Args:
        plan: Plan of the line.
    """
    named = [(peg.chainage_m, peg.name, peg.kind) for peg in plan.pegs]
    standing = {round(at, 3): name for at, name, kind in named if kind not in ("sight", "join")}
    extra = [(at, name) for at, name, kind in named if kind == "sight"]
    rows, k = [], 0
    for start, to, seen in plan.sight.sees:
        between = []
        while k < len(extra) and extra[k][0] < to:
            if extra[k][0] > start:
                between.append(extra[k][1])
            k += 1
        rows.append(SightRow(_name(standing, named, start), _name(standing, named, to), seen, tuple(between), start))
    return tuple(rows)


def _name(standing: dict[float, str], named: Sequence[tuple[Metre, str, str]], at: Metre) -> str:
    if round(at, 3) in standing:
        return standing[round(at, 3)]
    return min(named, key=lambda peg: abs(peg[0] - at))[1] if named else ""


def _sight_words(row: SightRow) -> str:
    if row.seen:
        return "seen"
    return f"by {', '.join(row.between)}" if row.between else "by pegs between"
