"""The circuits of live fences, as a card: wire, energiser, earths and how far the far end is. Advisory."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QWidget

from planner.ui.measures import Measures, count
from planner.ui.panels.cards import Card, Words
from planner.ui.panels.rows_model import Column
from planner.ui.panels.table import RowTable

if TYPE_CHECKING:
    from planner.job.plan import JobPlan
    from planner.surroundings.electric import Circuit

SAFETY = ("Advisory. Never make barbed wire live. An energiser has an earth of its own, well away from the earths of "
          "buildings and power; measure at the far end.")


class ElectricCard(Card):
    """A table of circuits; one that is chosen is told of below. Hidden where no line is live.

    Args:
        parent: Qt parent.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("Electric", parent)
        self._measures = Measures()
        self.table = RowTable("Circuits of live fences", (
            Column("circuit", lambda c: ", ".join(c.lines), stretch=True, strong=True),
            Column("wire", lambda c: self._measures.length(c.conductor_m, 0), right=True, spare=1,
                   tip="Live wire in it"),
            Column("least J", lambda c: f"{c.joules_needed:.1f}", right=True, tip="Least output, by length of fence"),
            Column("has J", lambda c: "–" if c.joules is None else f"{c.joules:g}", right=True,
                   loud=lambda c: c.joules is not None and c.joules < c.joules_needed,
                   tip="What its energisers give together"),
            Column("rods", lambda c: str(c.rods_needed), right=True, tip="Earth rods of the length in the settings"),
        ), key=lambda c: c.lines, most=5)
        self.table.chosen.connect(lambda key: self._tell(next((c for c in self.table.rows if c.lines == key), None)))
        self.words = Words()
        self.add(self.table, self.words, Words(SAFETY))

    def show_plan(self, plan: JobPlan | None, measures: Measures) -> None:
        """Shows the circuits of a plan; hides itself where there are none.

        Args:
            plan: The plan.
            measures: How values are shown.
        """
        self._measures = measures
        found = plan.electric if plan is not None else ()
        self.setVisible(bool(found))
        self.table.show_rows(found)
        self.aside.setText(count(len(found), "circuit") if found else "")
        if found and self.table.key_in_hand is None:
            self.table.choose(found[0].lines, seen=False)
        self._tell(next((c for c in found if c.lines == self.table.key_in_hand), None))

    def _tell(self, circuit: Circuit | None) -> None:
        if circuit is None:
            self.words.say("")
            return
        length = self._measures.length
        fed = (f"Fed from {', '.join(circuit.energisers)}." if circuit.energisers
               else "No energiser is marked within reach.")
        far = (f" Farthest place {length(circuit.far_end_m, 0)} along the fence, on {circuit.far_end}."
               if circuit.far_end_m else "")
        gates = (f" {count(circuit.gates, 'gate')} with {length(circuit.lead_m, 0)} of buried lead."
                 if circuit.gates else "")
        joints = count(circuit.joints, "joint")
        self.words.say(f"{fed}{far} {length(circuit.fence_m, 0)} of live fence, {joints}.{gates}")
