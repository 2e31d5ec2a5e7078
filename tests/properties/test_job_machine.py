"""Whatever is done, undone and done again: the job that is saved is the job that is opened."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from pathlib import Path

import shapely
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule
from job_samples import EAST, NORTH, corners, full_job, levels_of

from planner.alignment.line import Crossing, FenceLine, Gate
from planner.errors import BadSetting, JobTrouble
from planner.files.job_file import read_job, write_job
from planner.job import edits
from planner.job.history import History
from planner.job.job import Job, Waiver
from planner.survey.features import Feature

METRES = st.floats(-500.0, 500.0, allow_nan=False).map(lambda m: round(m, 3))
NAMES = st.text(st.characters(blacklist_categories=("Cs",), blacklist_characters="\x00"), max_size=8)
PICK = st.integers(0, 10**6)


class JobMachine(RuleBasedStateMachine):
    """Random edits with undo and redo; the model beside it is a plain list of jobs."""

    @initialize()
    def open(self) -> None:
        self.folder = tempfile.TemporaryDirectory()
        self.path = Path(self.folder.name) / "it.job.gpkg"
        self.history = History(full_job())
        self.before: list[Job] = []
        self.after: list[Job] = []

    def teardown(self) -> None:
        if hasattr(self, "folder"):
            self.folder.cleanup()

    def do(self, edit: edits.Edit) -> None:
        old = self.history.job
        try:
            new = self.history.do(edit)
        except (JobTrouble, BadSetting):
            assert self.history.job is old
            return
        if new is not old:
            self.before.append(old)
            self.after.clear()

    def line(self, pick: int) -> FenceLine:
        lines = self.history.job.lines
        return lines[pick % len(lines)] if lines else FenceLine("none", "x", corners((0, 0), (1, 1)))

    @rule(name=NAMES, x=METRES, y=METRES, fence=st.sampled_from(["general-mesh", "electric-2"]))
    def draw(self, name: str, x: float, y: float, fence: str) -> None:
        self.do(edits.AddLine(FenceLine(name, fence, corners((0, 0), (x, y + 600), (x + 50, y + 700)))))

    @rule(pick=PICK)
    def remove(self, pick: int) -> None:
        self.do(edits.RemoveLine(self.line(pick).name))

    @rule(pick=PICK, name=NAMES, accuracy=st.sampled_from(["survey", "traced"]))
    def change(self, pick: int, name: str, accuracy) -> None:
        self.do(edits.ChangeLine(self.line(pick).name, new_name=name, accuracy=accuracy))

    @rule(pick=PICK, corner=st.integers(-1, 6), x=METRES, y=METRES)
    def move(self, pick: int, corner: int, x: float, y: float) -> None:
        self.do(edits.MoveCorner(self.line(pick).name, corner, EAST + x, NORTH + y))

    @rule(pick=PICK, corner=st.integers(0, 6), x=METRES, y=METRES)
    def insert(self, pick: int, corner: int, x: float, y: float) -> None:
        self.do(edits.InsertCorner(self.line(pick).name, corner, EAST + x, NORTH + y))

    @rule(pick=PICK, corner=st.integers(0, 6))
    def delete(self, pick: int, corner: int) -> None:
        self.do(edits.DeleteCorner(self.line(pick).name, corner))

    @rule(pick=PICK, first=st.integers(0, 4), more=st.integers(0, 3), east=METRES, north=METRES)
    def drag(self, pick: int, first: int, more: int, east: float, north: float) -> None:
        self.do(edits.MoveStretch(self.line(pick).name, first, first + more, east, north))

    @rule(pick=PICK, name=NAMES, width=st.floats(0.5, 12.0))
    def gate(self, pick: int, name: str, width: float) -> None:
        line = self.line(pick)
        self.do(edits.AddGate(line.name, Gate(name, *map(float, line.xy[0]), width)))

    @rule(pick=PICK, name=NAMES, depth=st.none() | st.floats(0.0, 9.0))
    def crossing(self, pick: int, name: str, depth: float | None) -> None:
        line = self.line(pick)
        self.do(edits.AddCrossing(line.name, Crossing(name, *map(float, line.xy[-1]), 20.0, depth)))

    @rule(pick=PICK)
    def ungate(self, pick: int) -> None:
        line = self.line(pick)
        self.do(edits.RemoveGate(line.name, line.gates[0].name if line.gates else "none"))

    @rule(name=NAMES, x=METRES, y=METRES)
    def mark(self, name: str, x: float, y: float) -> None:
        self.do(edits.AddFeature(Feature(name, "rock", shapely.Point(EAST + x, NORTH + y).wkt, (("a", name),))))

    @rule(reason=NAMES, where=NAMES)
    def waive(self, reason: str, where: str) -> None:
        self.do(edits.Waive(Waiver("line-03", "Creek", where, reason)))

    @rule(degrees=st.floats(-5.0, 35.0))
    def set(self, degrees: float) -> None:
        self.do(edits.ChangeSettings((("corner_deg", degrees),)))

    @rule(pick=PICK)
    def record(self, pick: int) -> None:
        """What an import does: the job comes back with levels along a line."""
        if self.history.job.lines:
            line, job = self.line(pick), self.history.job
            self.do(edits.TakeIn(replace(job, levels={**job.levels, line.name: levels_of(line)}), "terrain"))

    @rule(name=NAMES)
    def rename(self, name: str) -> None:
        self.do(edits.RenameJob(name))

    @rule()
    def undo(self) -> None:
        if self.before:
            self.after.append(self.history.job)
            assert self.history.undo() is self.before.pop()
        else:
            assert self.history.can_undo == ""

    @rule()
    def redo(self) -> None:
        if self.after:
            self.before.append(self.history.job)
            assert self.history.redo() is self.after.pop()
        else:
            assert self.history.can_redo == ""

    @rule()
    def save_and_open(self) -> None:
        write_job(self.path, self.history.job)
        self.history.mark_saved(self.history.job)
        opened = read_job(self.path)
        assert opened == self.history.job
        assert list(opened.levels) == list(self.history.job.levels)

    @invariant()
    def names_are_unique(self) -> None:
        if hasattr(self, "history"):
            job = self.history.job
            assert len({line.name for line in job.lines}) == len(job.lines)
            assert set(job.levels) <= {line.name for line in job.lines}


TestJobMachine = JobMachine.TestCase
TestJobMachine.settings = settings(max_examples=30, stateful_step_count=20, deadline=None,
                                   suppress_health_check=[HealthCheck.too_slow])
