"""Outlines of an import that run along each other: found in the thread that places files, offered as single lines."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import shapely
from PySide6.QtWidgets import QCheckBox, QDoubleSpinBox, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from planner.alignment.junctions import shared_stretches
from planner.alignment.line import FenceLine
from planner.alignment.shared_boundaries import Misfit, shared_boundaries
from planner.job.shared_edges import TOLD_M
from planner.survey.fixes import MeasuredLine
from planner.ui.measures import Measures, count
from planner.units import Metre

Key = tuple[str, str]
WIDEST_GAP_M = 20.0
"""Widest gap that can be asked to be closed here. [m] Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Pair:
    """Two outlines that run along each other.

    Attributes:
        one: File and name of an outline.
        other: File and name of the other.
        along_m: How far they do. [m]
        apart: Gaps and overlaps between them, the largest first.
    """

    one: Key
    other: Key
    along_m: Metre
    apart: tuple[Misfit, ...] = ()


def outlines_side_by_side(lines: Sequence[MeasuredLine]) -> tuple[Pair, ...]:
    """Pairs of outlines that run along each other.

    Args:
        lines: Lines in one grid; walks are left aside, as no two of them run along each other exactly.
    """
    rings = [line for line in lines if line.closed and line.kind != "track" and len(line.xy) > 3]
    named = [FenceLine(str(number), "", line.xy, closed=True) for number, line in enumerate(rings)]
    found: dict[tuple[int, int], float] = {}
    for stretch in shared_stretches(named):
        one, other = sorted((int(stretch.line), int(stretch.other)))
        found[one, other] = found.get((one, other), 0.0) + stretch.length_m
    return tuple(Pair((rings[a].file, rings[a].name), (rings[b].file, rings[b].name), metres,
                      _apart(rings[a], rings[b])) for (a, b), metres in sorted(found.items()))


def _apart(one: MeasuredLine, other: MeasuredLine) -> tuple[Misfit, ...]:
    lands = [("one", shapely.Polygon(one.xy[:, :2])), ("other", shapely.Polygon(other.xy[:, :2]))]
    if not all(land.is_valid and land.area > 0 for _, land in lands):
        return ()
    return shared_boundaries(lands, within_m=TOLD_M).misfits


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
        self.gap.lineEdit().setTextMargins(4, 0, 0, 0)
        self.gap.setSpecialValueText("none")
        self.gap.setEnabled(False)
        self.box.toggled.connect(self.gap.setEnabled)
        self.left = QLabel(self)
        self.left.setObjectName("soft")
        self.left.setWordWrap(True)
        self.box.toggled.connect(lambda _: self._tell_left())
        self.gap.valueChanged.connect(lambda _: self._tell_left())
        self._apart: tuple[Misfit, ...] = ()
        self._measures = Measures()
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
        column.addWidget(self.left)
        self.hide()

    def offer(self, pairs: Sequence[Pair], is_fence: Callable[[Key], bool], measures: Measures) -> None:
        """Offers it for the outlines that are taken as fences.

        Args:
            pairs: Outlines that run along each other.
            is_fence: Whether one, by file and name, is taken as a fence.
            measures: Writes lengths.
        """
        among = [pair for pair in pairs if is_fence(pair.one) and is_fence(pair.other)]
        mine = [pair.along_m for pair in among]
        self._apart, self._measures = tuple(misfit for pair in among for misfit in pair.apart), measures
        self._tell_left()
        self.setVisible(bool(mine))
        run = "runs" if len(mine) == 1 else "run"
        self.words.setText(f"{count(len(mine), 'pair')} of outlines {run} along each other for "
                           f"{measures.length(sum(mine))}; each would be built twice there." if mine else "")

    def _tell_left(self) -> None:
        """Says what stays apart with what is asked for now."""
        wider = [one.width_m for one in self._apart if self.close_m is None or one.width_m > self.close_m]
        told = self.box.isChecked() and bool(wider)
        self.left.setVisible(told)
        if told:
            lie = "lies" if len(wider) == 1 else "lie"
            widest = self._measures.length(max(wider), 2)
            self.left.setText(f"{count(len(wider), 'gap or overlap', 'gaps and overlaps')} {lie} between them, "
                              f"{'' if len(wider) == 1 else 'the widest '}about {widest} wide: edges stay double there "
                              "unless that much is closed.")

    @property
    def is_wanted(self) -> bool:
        """True when shared edges are to be built once."""
        return not self.isHidden() and self.box.isChecked()

    @property
    def close_m(self) -> float | None:
        """Width of gaps and overlaps to close; None to tell of them only. [m]"""
        return self.gap.value() or None
