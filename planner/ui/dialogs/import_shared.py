"""Outlines of an import that run along each other: found in the thread that places files, offered as single lines."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtWidgets import QCheckBox, QDoubleSpinBox, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from planner.alignment.junctions import shared_stretches
from planner.alignment.line import FenceLine
from planner.survey.fixes import MeasuredLine
from planner.ui.measures import Measures, count

Key = tuple[str, str]
Pair = tuple[Key, Key, float]
WIDEST_GAP_M = 20.0
"""Widest gap that can be asked to be closed here. [m] Common practice, no source."""


def outlines_side_by_side(lines: Sequence[MeasuredLine]) -> tuple[Pair, ...]:
    """Pairs of outlines that run along each other, each by file and name, and how far. [m]

    Args:
        lines: Lines in one grid; walks are left aside, as no two of them run along each other exactly.
    """
    rings = [line for line in lines if line.closed and line.kind != "track" and len(line.xy) > 3]
    named = [FenceLine(str(number), "", line.xy, closed=True) for number, line in enumerate(rings)]
    found: dict[tuple[int, int], float] = {}
    for stretch in shared_stretches(named):
        one, other = sorted((int(stretch.line), int(stretch.other)))
        found[one, other] = found.get((one, other), 0.0) + stretch.length_m
    return tuple(((rings[a].file, rings[a].name), (rings[b].file, rings[b].name), metres)
                 for (a, b), metres in sorted(found.items()))


class SharedEdges(QWidget):
    """The offer to build shared edges once; hidden where no two outlines run along each other.

    Args:
        parent: Qt parent.
    """

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.box = QCheckBox("Build shared edges once", self)
        self.box.setToolTip("An edge that two outlines share becomes one fence line, named after both sides")
        self.words = QLabel(self)
        self.words.setObjectName("soft")
        self.words.setWordWrap(True)
        self.gap = QDoubleSpinBox(self)
        self.gap.setAccessibleName("Gaps and overlaps between outlines to close, in metres")
        self.gap.setRange(0.0, WIDEST_GAP_M)
        self.gap.setDecimals(2)
        self.gap.setSingleStep(0.1)
        self.gap.setSuffix(" m")
        self.gap.setSpecialValueText("none")
        self.gap.setEnabled(False)
        self.box.toggled.connect(self.gap.setEnabled)
        row = QHBoxLayout()
        row.addWidget(QLabel("Close gaps up to", self))
        row.addWidget(self.gap)
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(self.words)
        column.addWidget(self.box)
        column.addLayout(row)
        self.hide()

    def offer(self, pairs: Sequence[Pair], is_fence: Callable[[Key], bool], measures: Measures) -> None:
        """Offers it for the outlines that are taken as fences.

        Args:
            pairs: Outlines that run along each other.
            is_fence: Whether one, by file and name, is taken as a fence.
            measures: Writes lengths.
        """
        mine = [metres for one, other, metres in pairs if is_fence(one) and is_fence(other)]
        self.setVisible(bool(mine))
        run = "runs" if len(mine) == 1 else "run"
        self.words.setText(f"{count(len(mine), 'pair')} of outlines {run} along each other for "
                           f"{measures.length(sum(mine))}; each would be built twice there." if mine else "")

    @property
    def is_wanted(self) -> bool:
        """True when shared edges are to be built once."""
        return not self.isHidden() and self.box.isChecked()

    @property
    def close_m(self) -> float | None:
        """Width of gaps and overlaps to close; None to tell of them only. [m]"""
        return self.gap.value() or None
