"""The paddocks that the fences enclose, as a card: size, gates, water, and more about the one in hand."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from planner.survey.features import Feature
from planner.ui.measures import Measures, count
from planner.ui.panels.cards import Card, Words, button
from planner.ui.panels.marks import Refusal
from planner.ui.panels.rows_model import Column
from planner.ui.panels.table import RowTable

if TYPE_CHECKING:
    from planner.job.plan import JobPlan
    from planner.surroundings.paddocks import Paddock


class PaddocksCard(Card):
    """A table of paddocks; one that is chosen is shown on the map and told of below.

    Args:
        parent: Qt parent.

    Attributes:
        wanted: A person wants to see a paddock on the map; given as a feature with its outline.
        share_wanted: A person wants single lines in the place of outlines that run along each other.
    """

    wanted = Signal(object)
    share_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("Paddocks", parent)
        self._measures, self._any_water = Measures(), False
        self._plan: JobPlan | None = None
        self.table = RowTable("Paddocks", (
            Column("name", lambda p: p.name, stretch=True, strong=True),
            Column("for", lambda p: p.use, spare=1, tip="What it is for: as it is marked on the map, else as its shape "
                                                        "and what lies in it tell."),
            Column("area", lambda p: self._measures.area(p.area_m2), right=True, tip="Level area on the ground."),
            Column("gates", lambda p: str(len(p.gates)), right=True,
                   loud=lambda p: not p.gates and p.use != "shut off"),
            Column("water", _water, right=True, loud=lambda p: self._any_water and _water(p) == "none",
                   tip="Troughs and waters in it or on its edge, or reached through its lane."),
        ), key=lambda p: p.name, most=9)
        self.words = Words()
        self.table.chosen.connect(self._take)
        self.refusal = Refusal()
        self.share = button("Build shared edges once", self.share_wanted.emit,
                            tip="Makes single lines of outlines that run along each other; undo brings them back")
        self.add(self.table, self.words, self.refusal)
        self.add_row(self.share)

    def show_plan(self, plan: JobPlan | None, measures: Measures) -> None:
        """Shows the paddocks of a plan; hides itself where there are none.

        Args:
            plan: The plan.
            measures: How values are shown.
        """
        self._plan, self._measures = plan, measures
        self._any_water = plan is not None and bool(plan.around.of("trough", "water"))
        paddocks: Sequence[Paddock] = plan.paddocks if plan is not None else ()
        self.setVisible(bool(paddocks))
        self.table.show_rows(paddocks)
        self.refusal.say("")
        self.share.setVisible(plan is not None and any(f.rule == "line-11" for f in plan.findings))
        whole = sum(paddock.area_m2 for paddock in paddocks)
        self.aside.setText(f"{count(len(paddocks), 'piece')}, {measures.area(whole)}" if paddocks else "")
        self._tell(next((p for p in paddocks if p.name == self.table.key_in_hand), None))

    def _take(self, name: object) -> None:
        paddock = next((p for p in self.table.rows if p.name == name), None)
        self._tell(paddock)
        if paddock is not None:
            self.wanted.emit(Feature(paddock.name, "paddock", paddock.shape.wkt))

    def _tell(self, paddock: Paddock | None) -> None:
        if paddock is None or self._plan is None:
            self.words.say("Choose one to see it on the map." if self.table.rows else "")
            return
        from planner.jobpack.land_words import gate_words, use_words, water_words, way_head, way_words

        self.words.say(
            f"{paddock.name}: {use_words(paddock)}, {self._measures.length(paddock.perimeter_m, 0)} around, "
            f"{paddock.long_over_wide:.1f} times as long as wide. Gates: {gate_words(paddock)}. Water: "
            f"{water_words(paddock)}. {way_head(self._plan)}: {way_words(paddock)}.")


def _water(paddock: Paddock) -> str:
    if paddock.water:
        return str(len(paddock.water))
    if paddock.water_through:
        return "lane"
    return "none" if paddock.use == "stock" else "–"
