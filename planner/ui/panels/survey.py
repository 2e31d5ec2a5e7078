"""Survey: what was read, in which grid, how well it is known, and what was noticed on the way in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import cast, get_args

from PySide6.QtCore import Signal

from planner.alignment.line import FenceLine
from planner.errors import OutOfRange
from planner.job.job import Job
from planner.job.noticed import other_notes
from planner.jobpack.page.measures import grouped
from planner.survey.fixes import Accuracy
from planner.ui.document import Selection
from planner.ui.measures import count
from planner.ui.panels.cards import Fold, Words, button
from planner.ui.panels.feature_card import FeatureList
from planner.ui.panels.fields import Field
from planner.ui.panels.figures import file_name, plus_minus, without_folders
from planner.ui.panels.marks import Refusal
from planner.ui.panels.pairs import Pair, Pairs
from planner.ui.panels.panel import StepPanel
from planner.ui.panels.rows_model import Column
from planner.ui.panels.table import RowTable
from planner.wording import few_of

NOTES_AT_FIRST = 3


@dataclass(frozen=True)
class _Ground:
    """A file that levels are taken from."""

    path: str
    state: str

    @property
    def is_open(self) -> bool:
        return self.state in ("open", "being opened")


class SurveyPanel(StepPanel):
    """The panel of the survey.

    Attributes:
        import_wanted: A person wants to bring in files.
        feature_shown: A feature is to be seen on the map.
        feature_wanted: A person wants to change a feature.
    """

    KEY = "survey"
    import_wanted = Signal()
    feature_shown = Signal(object)
    feature_wanted = Signal(object)

    def build(self) -> Iterator[None]:
        """Puts the cards of the panel into its column, a piece a turn."""
        self._build_head()
        yield
        self._build_lines()
        yield
        self.features = FeatureList(self.card("On the ground"), self.document, self.feature_shown.emit,
                                    self.feature_wanted.emit)
        yield
        self._build_grounds()
        self.notes_card = self.card("Noticed on the way in")
        self.notes = Words()
        self.more_notes = Words()
        self.notes_fold = Fold("")
        self.notes_fold.add(self.more_notes)
        self.notes_card.add(self.notes, self.notes_fold)

    def _build_head(self) -> None:
        self.head = self.card("Survey")
        self.name = Field("Job", self._rename, tip="Name of the job on every sheet.", wide=True)
        self.facts = Pairs()
        self.bring = button("Bring in files", self.import_wanted.emit, kind="main",
                            tip="Lines, points and terrain from files of surveyors, receivers and other programs")
        self.head.add(self.name, self.facts)
        self.head.add_row(self.bring)

    def _build_lines(self) -> None:
        self.lines_card = self.card("Lines read")
        self.lines = RowTable("Lines read", (
            Column("line", lambda line: line.name, stretch=True, strong=True),
            Column("accuracy", lambda line: self._accuracy(line), edit=self._change_accuracy,
                   typed=lambda line: line.accuracy, choices=lambda line: self._classes(),
                   tip="How well its corners are known: standard deviation in metres. Choose another class where you "
                       "know better."),
            Column("corners", lambda line: str(len(line.xy) - line.closed), right=True),
            Column("shape", lambda line: "closed" if line.closed else "open", spare=1),
        ), key=lambda line: line.name, most=8)
        self.line_words, self.refusal, self.no_lines = Words(), Refusal(), Words()
        self.lines.chosen.connect(lambda name: self.document.select(Selection(line=str(name))))
        self.lines.refused.connect(self.refusal.say)
        self.lines_card.add(self.lines, self.no_lines, self.line_words, self.refusal)

    def _build_grounds(self) -> None:
        self.grounds_card = self.card("Ground levels")
        self.grounds = RowTable("Files of ground levels", (
            Column("file", lambda ground: file_name(ground.path), stretch=True),
            Column("state", lambda ground: ground.state, loud=lambda ground: not ground.is_open),
        ), key=lambda ground: ground.path, most=5)
        self.points, self.ground_words = Pairs(), Words()
        self.grounds_card.add(self.points, self.grounds, self.ground_words)
        self.document.working.connect(lambda task: task.finished.connect(self.refresh))

    # showing

    def fill(self) -> None:
        """Shows the job and its plan as they are now."""
        job = self.document.job
        self.name.show_text(job.name)
        self.head.aside.setText(job.crs if len(job.crs) <= 12 else "")
        self.facts.show_rows(self._facts(), self.look)
        self.lines.show_rows(job.lines)
        self.lines.setVisible(bool(job.lines))
        self.lines_card.aside.setText(f"{count(len(job.lines), 'line')}, {self.measures.unit}" if job.lines else "")
        self.no_lines.say("" if job.lines else
                          "There is no line yet. Bring in a survey, a walked track or a drawing, or draw on the map.")
        self.features.fill()
        self._fill_grounds()
        self._fill_notes()

    def show_selection(self) -> None:
        """Shows what is in hand."""
        self.features.show_chosen()
        self.lines.choose(self.document.selection.line or None)
        name = self.document.selection.line
        line = next((line for line in self.document.job.lines if line.name == name), None)
        if line is None:
            self.line_words.say("")
            return
        sd = self.document.job.settings.sd_of(line.accuracy)
        source = f"From {without_folders(line.origin, [self._path_of(line)])}." if line.origin else "Drawn here."
        self.line_words.say(f"{source} Corners are known to {plus_minus(sd, self.measures)} {self.measures.unit}, "
                            f"{'closed' if line.closed else 'open'}.")

    def _facts(self) -> list[Pair]:
        job = self.document.job
        datum, _, grid = self._grid_name().partition(" / ")
        classes = sorted({(job.settings.sd_of(line.accuracy), line.accuracy) for line in job.lines})
        known = [Pair(f"Corners, {name}", f"{plus_minus(sd, self.measures)} {self.measures.unit}",
                      tip="Standard deviation of a corner of this accuracy class") for sd, name in classes]
        return [Pair("Datum", datum or "not chosen yet"), Pair("Grid", grid or ("as its datum" if datum else "none")),
                *known, Pair("Files read", str(len(self._files())))]

    def _grid_name(self) -> str:
        if not self.document.job.crs:
            return ""
        from planner.survey.datum import grid_name

        return grid_name(self.document.job.crs)

    def _fill_grounds(self) -> None:
        job, opened = self.document.job, self.document.terrain_names
        rows = [_Ground(path, _state(path, opened)) for path in job.grounds]
        self.grounds.show_rows(rows)
        self.grounds.setVisible(bool(rows))
        levelled = sum(point.level_m is not None for point in job.points)
        self.points.show_rows([Pair("Surveyed points", grouped(len(job.points), 0), f"{levelled} with a level")]
                              if job.points else [], self.look)
        if not rows and not levelled:
            self.ground_words.say(_own_levels(job))
        elif any(not row.is_open for row in rows):
            self.ground_words.say("Levels already taken along the lines are kept in the job; a line that moves needs "
                                  "the file to know its new ground.")
        else:
            self.ground_words.say("")

    def _fill_notes(self) -> None:
        notes = [without_folders(note, self._files()) for note in other_notes(self.document.job)]
        self.notes_card.setVisible(bool(notes))
        self.notes_card.aside.setText(count(len(notes), "note"))
        self.notes.say("\n".join(f"– {note}" for note in notes[:NOTES_AT_FIRST]))
        rest = notes[NOTES_AT_FIRST:]
        self.more_notes.say("\n".join(f"– {note}" for note in rest))
        self.notes_fold.setVisible(bool(rest))
        self.notes_fold.set_title(f"{len(rest)} more")

    # changing

    def _rename(self, text: str) -> None:
        from planner.job.edits import RenameJob

        if not text:
            raise OutOfRange("a job needs a name for its sheets", remedy="type one")
        self.attempt(RenameJob(text))

    def _change_accuracy(self, line: FenceLine, chosen: str) -> None:
        from planner.job.edits import ChangeLine

        self.attempt(ChangeLine(line.name, accuracy=cast("Accuracy", chosen)))

    def _classes(self) -> list[tuple[str, str]]:
        settings = self.document.job.settings
        return [(name, f"{name}  {plus_minus(settings.sd_of(name), self.measures)} {self.measures.unit}")
                for name in get_args(Accuracy)]

    def _accuracy(self, line: FenceLine) -> str:
        return f"{line.accuracy} {plus_minus(self.document.job.settings.sd_of(line.accuracy), self.measures)}"

    def _path_of(self, line: FenceLine) -> str:
        return line.origin.rpartition(", row ")[0]

    def _files(self) -> list[str]:
        job = self.document.job
        files = {self._path_of(line) for line in job.lines} | {point.file for point in job.points}
        files |= {feature.origin.rpartition(", row ")[0] for feature in job.features} | set(job.grounds)
        return sorted(files - {""})


def _own_levels(job: Job) -> str:
    """Where levels come from in a job without terrain and surveyed points: from the walks, or from nowhere."""
    known = [recorded for line in job.lines if (recorded := job.levels.get(line.name)) is not None and recorded.names]
    if not known:
        return "No ground levels: every line is planned flat. Bring in terrain or points with levels."
    names = list(dict.fromkeys(file_name(name) for recorded in known for name in recorded.names))
    flat = len(job.lines) - len(known)
    return (f"No terrain and no surveyed levels: taken from {few_of(names)}."
            + (f" {count(flat, 'line')} without a level {'is' if flat == 1 else 'are'} planned flat." if flat else ""))


def _state(path: str, opened: tuple[str, ...] | None) -> str:
    if not Path(path).is_file():
        return "not found"
    if opened is None:
        return "being opened"
    return "open" if Path(path).stem in opened else "cannot be opened"
