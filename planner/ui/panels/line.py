"""Line: the line in hand, its corners with bearings and distances, its gates and crossings."""

from __future__ import annotations

from collections.abc import Iterator
from typing import cast

from PySide6.QtCore import Signal

from planner.alignment.line import GroundStretch, Side
from planner.errors import JobTrouble, PlannerError
from planner.ui.document import Selection
from planner.ui.measures import count
from planner.ui.panels.cards import Words, button
from planner.ui.panels.combo import Combo
from planner.ui.panels.fields import Field
from planner.ui.panels.figures import plus_minus, turn_words
from planner.ui.panels.ground_card import GroundCard
from planner.ui.panels.legs import Leg, Opening, deepened, legs_of, moved_corner, moved_opening, openings_of
from planner.ui.panels.marks import Refusal
from planner.ui.panels.paddocks_card import PaddocksCard
from planner.ui.panels.pairs import Pair, Pairs
from planner.ui.panels.panel import LineChooser, StepPanel, soft
from planner.ui.panels.rows_model import Column
from planner.ui.panels.table import RowTable

SIDES: dict[str, Side] = {"": "", "left": "left", "right": "right"}
SYMBOL_OF_ROLE = {"end": "end", "corner": "corner", "deviation": "deviation", "straight": ""}


class LinePanel(StepPanel):
    """The panel of the line.

    Attributes:
        feature_shown: A person wants to see land on the map.
    """

    KEY = "line"
    feature_shown = Signal(object)

    def build(self) -> Iterator[None]:
        """Puts the cards of the panel into its column, a piece a turn."""
        self._build_head()
        yield
        self._build_corners()
        yield
        self._build_openings()
        yield
        self.ground = GroundCard(self)
        self.ground.changed.connect(self._change_ground)
        self.column.addWidget(self.ground)
        yield
        self.paddocks = PaddocksCard(self)
        self.paddocks.wanted.connect(self.feature_shown.emit)
        self.paddocks.share_wanted.connect(self._share_edges)
        self.column.addWidget(self.paddocks)

    def _build_head(self) -> None:
        self.head = self.card("Line")
        self.chooser = LineChooser(self.document)
        self.name = Field("Name", self._rename, tip="Name of the line on every sheet.", wide=True)
        self.fence = Combo("Fence type of the line")
        self.fence.activated.connect(lambda _: self._change_fence(str(self.fence.currentData())))
        self.side = Combo("Side of the posts on which the wires hang")
        self.side.activated.connect(lambda _: self._change_side(str(self.side.currentData())))
        self.side.setToolTip("Looking along the line. Where water flows through, the downstream side lets wires come "
                             "off and posts stay.")
        self.facts = Pairs()
        self.nothing = Words("There is no line yet. Draw one on the map (D), or bring in files.")
        self.remove = button("Remove the line", self._remove, tip="Undo brings it back")
        self.fence_label, self.side_label = soft("Fence type"), soft("Wires on")
        self.head.add(self.nothing, self.chooser, self.name)
        self.head.add_row(self.fence_label, self.fence, stretch=1)
        self.head.add_row(self.side_label, self.side, stretch=1)
        self.head.add(self.facts)
        self.head.add_row(self.remove)

    def _build_corners(self) -> None:
        self.corners_card = self.card("Corners")
        self.corners = RowTable("Corners", (
            Column("#", lambda leg: str(leg.number + 1), right=True, strong=True),
            Column("role", lambda leg: leg.role, stretch=True, symbol=lambda leg: SYMBOL_OF_ROLE[leg.role]),
            Column("turn", lambda leg: turn_words(leg.turn_deg), right=True,
                   tip="Turn of the line here, left or right"),
            Column("bearing", lambda leg: self._bearing(leg), right=True, edit=self._edit_bearing,
                   may_edit=lambda leg: leg.has_next,
                   tip="Grid bearing to the next corner. Type another to move the next corner."),
            Column("distance", lambda leg: self.measures.figure(leg.ground_m) if leg.has_next else "", right=True,
                   edit=self._edit_distance, may_edit=lambda leg: leg.has_next,
                   typed=lambda leg: self.measures.figure(leg.ground_m, 2),
                   tip="Ground distance to the next corner. Type another to move the next corner."),
            Column("chainage", lambda leg: self.measures.figure(leg.chainage_m), right=True, spare=1),
        ), key=lambda leg: leg.number, most=12)
        self.corner_refusal, self.corner_words = Refusal(), Words()
        self.corners.chosen.connect(self._take_corner)
        self.corners.refused.connect(self.corner_refusal.say)
        self.corners_card.add(self.corners, self.corner_refusal, self.corner_words)

    def _build_openings(self) -> None:
        self.openings_card = self.card("Gates and crossings")
        self.openings = RowTable("Gates and crossings", (
            Column("name", lambda row: row.name, stretch=True, symbol=lambda row: row.kind, edit=self._edit_name),
            Column("kind", lambda row: row.kind, spare=1),
            Column("at", lambda row: self.measures.figure(row.chainage_m), right=True, edit=self._edit_place,
                   typed=lambda row: self.measures.figure(row.chainage_m, 2),
                   tip="Chainage of its middle. Type another to move it along the line."),
            Column("width", lambda row: self.measures.figure(row.width_m), right=True, edit=self._edit_width,
                   typed=lambda row: self.measures.figure(row.width_m, 2),
                   tip="Clear width of a gate; span of a crossing between its anchors."),
            Column("depth", lambda row: "" if row.kind == "gate" else "–" if row.depth_m is None
                   else self.measures.figure(row.depth_m), right=True, edit=self._edit_depth,
                   may_edit=lambda row: row.kind == "crossing", spare=2,
                   typed=lambda row: "" if row.depth_m is None else self.measures.figure(row.depth_m, 2),
                   tip="Depth of the bed below the anchors; empty takes it from the profile."),
        ), key=lambda row: row.name, most=8)
        self.opening_refusal, self.opening_words = Refusal(), Words()
        self.remove_opening = button("Remove", self._remove_opening)
        self.openings.chosen.connect(self._take_opening)
        self.openings.refused.connect(self.opening_refusal.say)
        self.openings_card.add(self.openings, self.opening_refusal, self.opening_words)
        self.openings_card.add_row(self.remove_opening)

    # showing

    def fill(self) -> None:
        """Shows the job and its plan as they are now."""
        plan, job = self.line, self.document.job
        self.nothing.setVisible(not job.lines)
        for widget in (self.name, self.fence, self.fence_label, self.side, self.side_label, self.facts, self.remove,
                       self.corners_card, self.openings_card):
            widget.setVisible(plan is not None)
        self.chooser.show_line()
        self.paddocks.show_plan(self.document.plan, self.measures)
        self.ground.show_line(plan, self.document.plan, self.measures)
        self.head.aside.setText(count(len(job.lines), "line") if job.lines else "")
        if plan is None:
            return
        self.name.show_text(plan.line.name)
        fences = self.document.plan.catalogue.fences if self.document.plan else {}
        self.fence.show_choices([(key, fence.name) for key, fence in fences.items()], plan.line.fence)
        self.fence.setToolTip(plan.fence.use)
        self.side.show_choices([("", "not said"), ("left", "the left"), ("right", "the right")], plan.line.wires_on)
        self.facts.show_rows(self._lengths(), self.look)
        legs = legs_of(plan)
        self.corners.show_rows(legs)
        self.corners_card.aside.setText(f"{self.measures.unit}, grid bearings")
        self.corner_words.say("Type over a bearing or a distance: the next corner moves.")
        self._fill_openings()

    def _fill_openings(self) -> None:
        plan = self.line
        rows = openings_of(plan) if plan is not None else ()
        self.openings.show_rows(rows)
        self.openings.setVisible(bool(rows))
        self.remove_opening.setVisible(bool(rows))
        self.openings_card.aside.setText(self.measures.unit if rows else "")
        self.opening_words.say("" if rows else "None. Place a gate (G) or a crossing (X) on the map.")

    def _lengths(self) -> list[Pair]:
        import numpy as np

        from planner.alignment.corner_accuracy import corner_sd
        from planner.profile.length_uncertainty import slope_length_sd

        plan = self.line
        if plan is None:
            return []
        ground, length = plan.ground, self.measures.length
        whole = ground.chainage_m[-1:]
        sd = slope_length_sd(ground, corner_sd_m=corner_sd(plan.line, plan.inputs.settings),
                             from_m=np.zeros(1), to_m=whole)[0]
        grid = float(np.hypot(*np.diff(plan.line.xy, axis=0).T).sum())
        return [Pair("Ground length", length(float(whole[0])), tip="Plan length on the ground, not on the grid."),
                Pair("Grid length", length(grid), f"× {grid / float(whole[0]):.6f}",
                     tip="Length in grid coordinates, and grid over ground."),
                Pair("Slope length", length(float(ground.slope_m[-1])), plus_minus(float(sd), self.measures),
                     tip="Length along the ground, with its standard deviation."),
                Pair("Corners known to", f"{plus_minus(plan.corner_sd_m, self.measures)} {self.measures.unit}",
                     plan.line.accuracy)]

    def show_selection(self) -> None:
        """Shows what is in hand."""
        plan = self.line
        if plan is not None and plan.line.name != (self.name.field.text() or plan.line.name):
            self.fill()
        selection = self.document.selection
        self.corners.choose(selection.corner)
        row = next((row for row in self.openings.rows if row.section and row.section == selection.section), None)
        if row is not None and self._name_in_hand() != row.name:
            self.openings.choose(row.name)
        elif row is None:
            self.openings.choose(None)
        self.remove_opening.setEnabled(self.openings.key_in_hand is not None)

    def _bearing(self, leg: Leg) -> str:
        return self.measures.bearing(leg.bearing_deg) if leg.has_next else ""

    def _name_in_hand(self) -> str:
        return str(self.openings.key_in_hand or "")

    # taking in hand

    def _take_corner(self, number: object) -> None:
        plan = self.line
        if plan is not None and isinstance(number, int) and number < len(plan.corners):
            self.document.select(Selection(line=plan.line.name, corner=number))
            self.document.point_at(plan.line.name, plan.corners[number].chainage_m)

    def _take_opening(self, name: object) -> None:
        plan = self.line
        row = next((row for row in self.openings.rows if row.name == name), None)
        if plan is not None and row is not None:
            self.document.select(Selection(line=plan.line.name, section=row.section))
            self.document.point_at(plan.line.name, row.chainage_m)
            self.remove_opening.setEnabled(True)

    # changing

    def _plan_now(self) -> None:
        """Refuses to move things by a plan that is no longer the job's."""
        plan = self.document.plan
        if plan is None or plan.job is not self.document.job:
            raise JobTrouble("the plan is being made anew", remedy="type it again in a moment")

    def _rename(self, text: str) -> None:
        from planner.job.edits import ChangeLine

        plan = self.line
        if not text:
            raise JobTrouble("a line needs a name", remedy="type one")
        if plan is not None:
            old = plan.line.name
            self.attempt(ChangeLine(old, new_name=text))
            if self.document.selection.line == old:
                self.document.select(Selection(line=text))

    def _change_fence(self, key: str) -> None:
        from planner.job.edits import ChangeLine

        if self.line is not None:
            self.document.do(ChangeLine(self.line.line.name, fence=key))

    def _change_side(self, side: str) -> None:
        from planner.job.edits import ChangeLine

        if self.line is not None:
            self.document.do(ChangeLine(self.line.line.name, wires_on=SIDES[side]))

    def _change_ground(self, stretches: object) -> None:
        from planner.job.edits import ChangeLine

        if self.line is not None:
            typed = tuple(cast("list[GroundStretch]", stretches))
            self.document.do(ChangeLine(self.line.line.name, stretches=typed))

    def _share_edges(self) -> None:
        from planner.job.edits import ShareEdges
        from planner.job.shared_outlines import outlines_that_share

        try:
            self.attempt(ShareEdges(outlines_that_share(self.document.job)))
        except PlannerError as trouble:
            self.paddocks.refusal.say(str(trouble))

    def _remove(self) -> None:
        from planner.job.edits import RemoveLine

        if self.line is not None:
            name = self.line.line.name
            self.document.select(Selection())
            self.document.do(RemoveLine(name))

    def _edit_bearing(self, leg: Leg, text: str) -> None:
        from planner.ui.measures import parse_bearing

        self._move(leg, bearing_deg=parse_bearing(text), ground_m=leg.ground_m)

    def _edit_distance(self, leg: Leg, text: str) -> None:
        self._move(leg, bearing_deg=leg.bearing_deg, ground_m=self.measures.parse_length(text))

    def _move(self, leg: Leg, *, bearing_deg: float, ground_m: float) -> None:
        self._plan_now()
        if self.line is not None:
            self.attempt(moved_corner(self.line, leg, bearing_deg=bearing_deg, ground_m=ground_m))

    def _edit_name(self, row: Opening, text: str) -> None:
        if not text:
            raise JobTrouble("a gate or crossing needs a name", remedy="type one")
        self._change_opening(row, name=text)

    def _edit_place(self, row: Opening, text: str) -> None:
        self._change_opening(row, chainage_m=self.measures.parse_length(text))

    def _edit_width(self, row: Opening, text: str) -> None:
        self._change_opening(row, width_m=self.measures.parse_length(text))

    def _edit_depth(self, row: Opening, text: str) -> None:
        self._plan_now()
        if self.line is not None:
            bare = text.strip()
            self.attempt(deepened(self.line, row, None if bare in ("", "–") else self.measures.parse_length(bare)))

    def _change_opening(self, row: Opening, *, name: str | None = None, chainage_m: float | None = None,
                        width_m: float | None = None) -> None:
        self._plan_now()
        if self.line is not None:
            self.attempt(moved_opening(self.line, row, name=name, chainage_m=chainage_m, width_m=width_m))

    def _remove_opening(self) -> None:
        from planner.job.edits import RemoveCrossing, RemoveGate

        row = next((row for row in self.openings.rows if row.name == self._name_in_hand()), None)
        if row is not None and self.line is not None:
            kind = RemoveGate if row.kind == "gate" else RemoveCrossing
            self.document.do(kind(self.line.line.name, row.name))
