"""Whatever is done, undone and done again: the job that is saved is the job that is opened, and the one that the
journal brings back is the one that was in hand.

``STRAINWRIGHT_MACHINE_STEPS=2000`` makes so many steps in all, in runs of fifty, instead of the usual few; with ``-s``
it says how many were made.
"""

from __future__ import annotations

import inspect
import os
import tempfile
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import shapely
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule
from job_samples import EAST, NORTH, corners, full_job, levels_of

from planner.alignment.line import Crossing, FenceLine, Gate
from planner.errors import BadSetting, JobTrouble
from planner.files.job_file import read_job, state_of, write_job
from planner.files.journal import recovered
from planner.files.journal_records import journal_of, look_at
from planner.files.journal_writer import JournalWriter, Standing
from planner.job import edits
from planner.job.history import History
from planner.job.job import Job, Waiver
from planner.job.options import Option
from planner.job.stages import Stage
from planner.materials.prices import PriceList
from planner.surroundings.clearances import Clearance
from planner.survey.features import Feature
from planner.upkeep.records import Built, Progress

STEPS = int(os.environ.get("STRAINWRIGHT_MACHINE_STEPS", "0"))
METRES = st.floats(-500.0, 500.0, allow_nan=False).map(lambda m: round(m, 3))
NAMES = st.text(st.characters(blacklist_categories=("Cs",), blacklist_characters="\x00"), max_size=8)
PICK = st.integers(0, 10**6)


class JobMachine(RuleBasedStateMachine):
    """Random edits with undo and redo; the model beside it is a plain list of jobs."""

    all_steps = 0

    @initialize()
    def open(self) -> None:
        self.folder = tempfile.TemporaryDirectory()
        self.path = Path(self.folder.name) / "it.job.gpkg"
        self.history = History(full_job())
        write_job(self.path, self.history.job)
        self.steps = 0
        self.journal = JournalWriter(Path(self.folder.name) / "state")
        self.stand()
        self.before: list[Job] = []
        self.after: list[Job] = []

    def teardown(self) -> None:
        if hasattr(self, "folder"):
            self.journal.close()
            self.folder.cleanup()
            JobMachine.all_steps += self.steps
            if STEPS:
                print(f"{self.steps} steps, {JobMachine.all_steps} in all")

    def stand(self) -> None:
        """The job now stands in the file."""
        self.journal.stand_on(Standing(self.history.job, self.path, state_of(self.path), may_stand_beside=True))

    def note(self) -> None:
        """What the window does when the job has changed."""
        if self.history.is_saved:
            self.stand()
        else:
            self.journal.add(self.history.job, self.history.told)

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
            self.note()

    def line(self, pick: int) -> FenceLine:
        lines = self.history.job.lines
        return lines[pick % len(lines)] if lines else FenceLine("none", "x", corners((0, 0), (1, 1)))

    @rule(name=NAMES, x=METRES, y=METRES, fence=st.sampled_from(["general-mesh", "electric-2"]))
    def draw(self, name: str, x: float, y: float, fence: str) -> None:
        self.do(edits.AddLine(FenceLine(name, fence, corners((0, 0), (x, y + 600), (x + 50, y + 700)))))

    @rule(pick=PICK)
    def remove(self, pick: int) -> None:
        self.do(edits.RemoveLine(self.line(pick).name))

    @rule(pick=PICK, x=st.floats(10.0, 400.0))
    def share(self, pick: int, x: float) -> None:
        """Two outlines side by side, whose common edge becomes one line."""
        before = {line.name for line in self.history.job.lines}
        for west, name in ((0.0, "West"), (x, "East")):
            ring = corners((west, 900), (west + x, 900), (west + x, 990), (west, 990), (west, 900))
            self.do(edits.AddLine(FenceLine(name, "general-mesh", ring, closed=True)))
        new = tuple(line.name for line in self.history.job.lines if line.name not in before)
        self.do(edits.ShareEdges(new if pick % 3 else (*new, "none")))

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

    @rule(pick=PICK, name=NAMES, width=st.floats(0.5, 12.0))
    def regate(self, pick: int, name: str, width: float) -> None:
        line = self.line(pick)
        old = line.gates[0] if line.gates else Gate("none", 0.0, 0.0, 1.0)
        self.do(edits.ChangeGate(line.name, old.name, replace(old, name=name or old.name, width_m=width)))

    @rule(pick=PICK, span=st.floats(1.0, 90.0))
    def recross(self, pick: int, span: float) -> None:
        line = self.line(pick)
        old = line.crossings[0] if line.crossings else Crossing("none", 0.0, 0.0, 1.0)
        self.do(edits.ChangeCrossing(line.name, old.name, replace(old, span_m=span)))

    @rule(pick=PICK)
    def uncross(self, pick: int) -> None:
        line = self.line(pick)
        self.do(edits.RemoveCrossing(line.name, line.crossings[0].name if line.crossings else "none"))

    @rule(pick=PICK, name=NAMES)
    def remark(self, pick: int, name: str) -> None:
        if marks := self.history.job.features:
            old = marks[pick % len(marks)]
            self.do(edits.ChangeFeature(old, replace(old, name=name)))

    @rule(pick=PICK)
    def unmark(self, pick: int) -> None:
        if marks := self.history.job.features:
            self.do(edits.RemoveFeature(marks[pick % len(marks)]))

    @rule(where=NAMES)
    def unwaive(self, where: str) -> None:
        self.do(edits.TakeBackWaiver(Waiver("line-03", "Creek", where, "")))

    @rule(key=NAMES, text=NAMES)
    def keep_fence(self, key: str, text: str) -> None:
        self.do(edits.KeepOwnFence(key, text))

    @rule(cents=st.integers(0, 10**7))
    def price(self, cents: int) -> None:
        prices = {k: replace(p, price=Decimal(cents) / 100) for k, p in full_job().prices.prices.items()}
        self.do(edits.ChangePrices(PriceList(prices if cents % 3 else {})))

    @rule(words=NAMES, days=st.integers(1, 90))
    def tell(self, words: str, days: int) -> None:
        self.do(edits.ChangeQuoteTerms(replace(self.history.job.terms, remeasure=words, valid_days=days)))

    @rule(pick=PICK, name=NAMES, new=NAMES, what=st.sampled_from(["keep", "choose", "rename", "drop"]))
    def choose(self, pick: int, name: str, new: str, what: str) -> None:
        options = self.history.job.options
        known = options[pick % len(options)].name if options else name
        self.do({"keep": edits.KeepOption(Option(name, (self.line(pick).name,), note=new)),
                 "choose": edits.ChooseOption(known), "rename": edits.RenameOption(known, new),
                 "drop": edits.DropOption(known)}[what])

    @rule(pick=PICK, name=NAMES, new=NAMES, what=st.sampled_from(["keep", "rename", "drop"]))
    def stage(self, pick: int, name: str, new: str, what: str) -> None:
        stages = self.history.job.stages
        known = stages[pick % len(stages)].name if stages else name
        self.do({"keep": edits.KeepStage(Stage(name, (self.line(pick).name,), 2000 + pick % 99, new)),
                 "rename": edits.RenameStage(known, new), "drop": edits.DropStage(known)}[what])

    @rule(kind=NAMES, about=NAMES, is_kept=st.booleans())
    def settle(self, kind: str, about: str, is_kept: bool) -> None:
        self.do(edits.KeepClearance(Clearance(kind, about, date(2026, 1, 5))) if is_kept
                else edits.DropClearance(kind, about))

    @rule(pick=PICK, share=st.floats(0.0, 1.0))
    def work(self, pick: int, share: float) -> None:
        kept, line = self.history.job.records, self.line(pick).name
        self.do(edits.ChangeRecords(replace(
            kept, progress=(*kept.progress, Progress(line, "", "posts", share, date(2026, 1, 5)))[-5:],
            built=(Built(line, date(2026, 1, 6), None, None),))))

    @rule()
    def stop_badly(self) -> None:
        """The journal brings back the job in hand; and there is none when it stands in the file."""
        assert self.journal.flush()
        left = look_at(journal_of(self.path)) if journal_of(self.path).is_file() else None
        assert (left is None) == self.history.is_saved
        if left is not None:
            found = recovered(left)
            assert (found.job if found is not None else read_job(self.path)) == self.history.job
            assert list((found.job if found is not None else self.history.job).levels) == list(self.history.job.levels)

    @rule()
    def undo(self) -> None:
        if self.before:
            self.after.append(self.history.job)
            assert self.history.undo() is self.before.pop()
            self.note()
        else:
            assert self.history.can_undo == ""

    @rule()
    def redo(self) -> None:
        if self.after:
            self.before.append(self.history.job)
            assert self.history.redo() is self.after.pop()
            self.note()
        else:
            assert self.history.can_redo == ""

    @rule()
    def save_and_open(self) -> None:
        write_job(self.path, self.history.job)
        self.history.mark_saved(self.history.job)
        self.stand()
        opened = read_job(self.path)
        assert opened == self.history.job
        assert list(opened.levels) == list(self.history.job.levels)

    @invariant()
    def names_are_unique(self) -> None:
        if hasattr(self, "history"):
            self.steps += 1
            job = self.history.job
            assert len({line.name for line in job.lines}) == len(job.lines)
            assert set(job.levels) <= {line.name for line in job.lines}


TestJobMachine = JobMachine.TestCase
TestJobMachine.settings = settings(max_examples=STEPS // 45 or 30, stateful_step_count=50 if STEPS else 20,
                                   deadline=None, suppress_health_check=[HealthCheck.too_slow])


def test_the_machine_makes_every_edit_that_there_is() -> None:
    made = inspect.getsource(JobMachine)
    assert [name for name in edits.__all__ if name != "Edit" and f"edits.{name}(" not in made] == []
