"""Gates: placed on a line, in the widths that are sold."""

from __future__ import annotations

from dataclasses import replace

from planner.alignment.line import Crossing, FenceLine, Gate
from planner.errors import PlannerError
from planner.job.edits import AddGate, ChangeGate, RemoveGate
from planner.job.edits.edit import Edit
from planner.spec.gates import GATE_FAMILY, choose_gate, gate_gap_m
from planner.spec.items import Item
from planner.ui.tools.gesture_marks import Row
from planner.ui.tools.on_lines import free_opening_name
from planner.ui.tools.openings import OpeningTool
from planner.units import Metre

USUAL_M = 4.2


class GateTool(OpeningTool):
    """Places gates."""

    word, width_word = "gate", "Clear width"

    def begin(self) -> None:
        """Takes the tool up with the gates that the job's items hold."""
        plan = self.document.plan
        if plan is not None:
            self._items: dict[str, Item] = dict(plan.catalogue.items)
        else:
            from planner.job.derive import catalogue_of

            self._items = dict(catalogue_of(self.document.job).items)
        self.widths = tuple(sorted({item.length_m for item in self._items.values()
                                    if item.family == GATE_FAMILY and item.length_m}))
        self.width_m = min(self.widths, key=lambda width: abs(width - USUAL_M), default=USUAL_M)
        super().begin()

    def openings_of(self, line: FenceLine) -> tuple[Gate | Crossing, ...]:
        """The gates on a line."""
        return line.gates

    def width_of(self, opening: Gate | Crossing) -> Metre:
        """Clear width. [m]"""
        return opening.width_m if isinstance(opening, Gate) else opening.span_m

    def adding(self, line: str, x: Metre, y: Metre) -> Edit:
        """Places a gate under the next free name."""
        return AddGate(line, Gate(free_opening_name(self.document.job.lines, "G"), x, y, self.width_m))

    def changing(self, line: str, opening: Gate | Crossing, *, x: Metre, y: Metre, width_m: Metre) -> Edit:
        """Moves or widens a gate; another width chooses its item again."""
        assert isinstance(opening, Gate)
        item = opening.item if width_m == opening.width_m else ""
        return ChangeGate(line, opening.name, replace(opening, x=x, y=y, width_m=width_m, item=item))

    def removing(self, line: str, name: str) -> Edit:
        """Takes a gate away."""
        return RemoveGate(line, name)

    def next_width(self, step: int) -> Metre:
        """The next width that is sold. [m]"""
        beyond = [w for w in self.widths if (w > self.width_m + 0.005 if step > 0 else w < self.width_m - 0.005)]
        return self.width_m if not beyond else beyond[0] if step > 0 else beyond[-1]

    def told(self, width_m: Metre) -> list[Row]:
        """The gate that goes into an opening, and the gap that it leaves."""
        rows: list[Row] = [("Clear width", self.measures.length(width_m, 2))]
        try:
            gate = choose_gate(width_m, self._items)
        except PlannerError:
            return [*rows, ("Gate", "none is so narrow")]
        rows.append(("Gate", gate.description))
        gap = gate_gap_m(width_m, gate)
        return [*rows, ("Leaves open", self.measures.length(gap, 2))] if gap > 0.01 else rows
