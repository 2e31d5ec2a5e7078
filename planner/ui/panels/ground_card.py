"""The ground along a line as a card: classes that were typed, from where to where, and what areas on the map add."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from planner.alignment.line import GroundStretch
from planner.errors import OutOfRange
from planner.ui.measures import Measures, count
from planner.ui.panels.cards import Card, Words, button
from planner.ui.panels.marks import Refusal
from planner.ui.panels.rows_model import Column
from planner.ui.panels.table import RowTable

if TYPE_CHECKING:
    from planner.job.plan import JobPlan, LinePlan
    from planner.units import Metre

USUAL = "ledge"


class GroundCard(Card):
    """A table of the ground classes that were typed along the line in hand.

    Args:
        parent: Qt parent.

    Attributes:
        changed: Other stretches were typed; the whole row of them.
    """

    changed = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("Ground", parent)
        self._measures, self._length_m = Measures(), 0.0
        self._classes: dict[str, str] = {}
        self.table = RowTable("Ground classes along the line", (
            Column("from", lambda row: self._measures.figure(row[1].from_m), right=True,
                   typed=lambda row: self._measures.figure(row[1].from_m, 2),
                   edit=lambda row, text: self._place(row, text, "from_m")),
            Column("to", lambda row: self._measures.figure(row[1].to_m), right=True,
                   typed=lambda row: self._measures.figure(row[1].to_m, 2),
                   edit=lambda row, text: self._place(row, text, "to_m")),
            Column("ground", lambda row: self._classes.get(row[1].ground, row[1].ground), stretch=True,
                   typed=lambda row: row[1].ground, choices=lambda row: list(self._classes.items()),
                   edit=lambda row, text: self._keep(row[0], replace(row[1], ground=text))),
        ), key=lambda row: row[0], most=6)
        self.refusal, self.words = Refusal(), Words()
        self.table.refused.connect(self.refusal.say)
        self.add_stretch = button("Add a stretch", self._add, tip="The whole line at first; type from where to where")
        self.drop = button("Remove", self._drop, kind="quiet", name="Remove this stretch")
        self.add(self.table, self.refusal, self.words)
        self.add_row(self.add_stretch, self.drop)

    @property
    def stretches(self) -> list[GroundStretch]:
        """The stretches that are shown."""
        return [row[1] for row in self.table.rows]

    def show_line(self, line: LinePlan | None, plan: JobPlan | None, measures: Measures) -> None:
        """Shows the ground of a line; hides itself where there is none.

        Args:
            line: Plan of the line.
            plan: The whole plan, for the ground classes there are.
            measures: How values are shown.
        """
        self.setVisible(line is not None and plan is not None)
        if line is None or plan is None:
            return
        self._measures, self._length_m = measures, float(line.ground.chainage_m[-1])
        self._classes = {key: ground.description for key, ground in plan.catalogue.grounds.items()}
        typed = line.line.stretches
        self.table.show_rows(list(enumerate(typed)))
        self.table.setVisible(bool(typed))
        self.drop.setVisible(bool(typed))
        self.aside.setText(measures.unit if typed else "")
        from_areas = len(line.stretches) - len(typed)
        self.words.say((f"{count(from_areas, 'stretch', 'stretches')} from areas on the map; what is typed here goes "
                        "before them." if from_areas else "") if typed or from_areas else
                       "Soil all along: posts are driven. Add where it is not, or mark areas of ground on the map.")

    def _add(self) -> None:
        self.changed.emit([*self.stretches, GroundStretch(0.0, round(self._length_m, 2), USUAL)])

    def _drop(self) -> None:
        number = self.table.key_in_hand
        if self.table.rows:
            gone = number if isinstance(number, int) else len(self.table.rows) - 1
            self.changed.emit([one for k, one in enumerate(self.stretches) if k != gone])

    def _place(self, row: tuple[int, GroundStretch], text: str, which: str) -> None:
        at: Metre = self._measures.parse_length(text)
        made = replace(row[1], from_m=at) if which == "from_m" else replace(row[1], to_m=at)
        if not 0.0 <= made.from_m < made.to_m <= self._length_m + 0.01:
            raise OutOfRange(f"from {made.from_m:.1f} to {made.to_m:.1f} m is no stretch of this line",
                             remedy=f"give two chainages, in order, from 0 to {self._length_m:.1f} m")
        self._keep(row[0], made)

    def _keep(self, number: int, made: GroundStretch) -> None:
        self.refusal.say("")
        self.changed.emit([made if k == number else one for k, one in enumerate(self.stretches)])
