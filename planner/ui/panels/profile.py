"""Profile: where the levels of the line in hand come from, its lengths, and every break of its grades."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from planner.jobpack.page.measures import grouped
from planner.ui.document import Selection
from planner.ui.measures import count
from planner.ui.panels.cards import Fold, Words
from planner.ui.panels.fields import SettingField
from planner.ui.panels.figures import file_name, plus_minus, share, signed
from planner.ui.panels.pairs import Pair, Pairs
from planner.ui.panels.panel import LineChooser, StepPanel
from planner.ui.panels.rows_model import Column
from planner.ui.panels.table import RowTable
from planner.units import Degree, Metre

if TYPE_CHECKING:
    from planner.job.plan import LinePlan

SETTINGS = (("grade_tolerance_m", "Ground may leave a grade by"), ("profile_step_m", "A level every"),
            ("break_end_deg", "A strain ends at a break above"))
_SAME_M = 0.3
_SOURCE_WORDS = {"none": "Bridged, not known", "track": "From the walk", "terrain": "From terrain",
                 "survey": "From surveyed points"}


@dataclass(frozen=True, slots=True)
class GradeBreak:
    """A break of the grades.

    Attributes:
        chainage_m: Where. [m]
        level_m: Ground level. [m]
        break_deg: How much; a dip is positive. [deg]
        grade_after_deg: Grade after it, uphill positive. [deg]
        post: Name of the rise, dip or end post that stands there; empty for none.
    """

    chainage_m: Metre
    level_m: Metre
    break_deg: Degree
    grade_after_deg: Degree
    post: str


class ProfilePanel(StepPanel):
    """The panel of the profile."""

    KEY = "profile"

    def build(self) -> Iterator[None]:
        """Puts the cards of the panel into its column, a piece a turn."""
        self.head = self.card("Profile")
        self.chooser, self.lengths, self.nothing = LineChooser(self.document), Pairs(), Words()
        self.head.add(self.chooser, self.lengths, self.nothing)
        yield
        self.levels_card = self.card("Levels")
        self.levels, self.level_words = Pairs(), Words()
        self.levels_card.add(self.levels, self.level_words)
        self.breaks_card = self.card("Grade breaks")
        self.breaks = RowTable("Grade breaks", (
            Column("at", lambda row: self.measures.figure(row.chainage_m), right=True, strong=True, tip="Chainage"),
            Column("level", lambda row: self.measures.figure(row.level_m), right=True),
            Column("break", lambda row: signed(row.break_deg), right=True, tip="Grade after less grade before"),
            Column("", _what, stretch=True, symbol=_what),
            Column("then", lambda row: signed(row.grade_after_deg), right=True, spare=1, tip="Grade after it"),
            Column("post", lambda row: row.post, spare=2),
        ), key=lambda row: round(row.chainage_m, 3), most=12)
        self.breaks.chosen.connect(self._take_break)
        self.tolerance = Words()
        self.breaks_card.add(self.breaks, self.tolerance)
        yield
        self.settings_card = self.card("How it is found")
        self.settings = [SettingField(name, label, self.take_setting) for name, label in SETTINGS]
        self.settings_card.add(*self.settings)
        self.fold = Fold("What these do")
        self.fold.add(Words("The profile is drawn as the fewest straight grades that stay within the tolerance of the "
                            "ground; where two meet, the wires turn, and a post there presses down or is lifted. "
                            "A closer tolerance finds smaller rises and dips, and more posts to set for them."))
        self.settings_card.add(self.fold)

    def fill(self) -> None:
        """Shows the job and its plan as they are now."""
        plan = self.line
        self.chooser.show_line()
        for card in (self.levels_card, self.breaks_card):
            card.setVisible(plan is not None)
        for field in self.settings:
            field.show_setting(self.document.job.settings, self.measures)
        self.nothing.say("" if plan is not None else self.without_plan(
            "There is no line yet, so there is no profile. Draw a line, or bring in files."))
        self._shown = plan
        if plan is None:
            self.lengths.show_rows([], self.look)
            self.head.aside.setText("")
            return
        alone = len(self.document.job.lines) == 1  # else the box under it names the line
        self.head.aside.setText(f"{plan.code}   {plan.line.name}" if alone else "")
        self.lengths.show_rows(self._lengths(plan), self.look)
        self._fill_levels(plan)
        rows = breaks_of(plan)
        self.breaks.show_rows(rows)
        self.breaks_card.aside.setText(f"{count(len(rows), 'break')}, {self.measures.unit}")
        self.tolerance.say(tolerance_words(plan))

    def show_selection(self) -> None:
        """Shows what is in hand."""
        if self.line is not self._shown:
            self.fill()
        selection, plan = self.document.selection, self.line
        if plan is None or not selection.post or selection.post not in plan.post_names:
            return
        at = plan.posts[plan.post_names.index(selection.post)].chainage_m
        row = next((row for row in self.breaks.rows if abs(row.chainage_m - at) < _SAME_M), None)
        self.breaks.choose(round(row.chainage_m, 3) if row is not None else None)

    def _lengths(self, plan: LinePlan) -> list[Pair]:
        ground = plan.ground
        flat, slope = float(ground.chainage_m[-1]), float(ground.slope_m[-1])
        low, high = float(ground.level_m.min()), float(ground.level_m.max())
        return [Pair("Plan length", self.measures.length(flat)), Pair("Slope length", self.measures.length(slope)),
                Pair("The slopes add", self.measures.length(slope - flat), share((slope - flat) / flat, 2)),
                Pair("Lowest and highest", f"{self.measures.figure(low)} to {self.measures.length(high)}")]

    def _fill_levels(self, plan: LinePlan) -> None:
        import numpy as np

        from planner.survey.ground import SOURCE_NAMES

        ground = plan.ground
        counts = np.bincount(ground.source, minlength=len(SOURCE_NAMES))
        rows = [Pair(_SOURCE_WORDS[SOURCE_NAMES[k]], share(float(counts[k]) / len(ground.source), 0))
                for k in range(len(counts) - 1, -1, -1) if counts[k]]
        known = ground.sd_m[np.isfinite(ground.sd_m)]
        if len(known):
            rows.append(Pair("Known to", f"{plus_minus(float(np.median(known)), self.measures)} {self.measures.unit}",
                             "half are better"))
        rows.append(Pair("Noise of the levels", self.measures.length(ground.noise_m, 2)))
        self.levels.show_rows(rows, self.look)
        self.levels_card.aside.setText(count(len(ground.chainage_m), "level"))
        names = plan.inputs.levels.names if plan.inputs.levels is not None else ()
        self.level_words.say(f"Taken from {', '.join(file_name(name) for name in names)}." if names else
                             "No level is known along this line: it is planned flat.")

    def _take_break(self, key: object) -> None:
        plan = self.line
        row = next((row for row in self.breaks.rows if round(row.chainage_m, 3) == key), None)
        if plan is None or row is None:
            return
        section = next((s.id for s in plan.sections if s.from_m <= row.chainage_m <= s.to_m), "")
        self.document.select(Selection(plan.line.name, section, row.post))
        self.document.point_at(plan.line.name, row.chainage_m)

    _shown: LinePlan | None = None


def breaks_of(plan: LinePlan) -> tuple[GradeBreak, ...]:
    """The breaks of a line's grades, its two ends left out.

    Args:
        plan: Plan of the line.
    """
    import numpy as np

    chain = plan.chain
    at = np.array([post.chainage_m for post in plan.posts])
    grade = np.degrees(np.arctan2(np.diff(chain.level_m), np.diff(chain.chainage_m)))
    rows = []
    for k in range(1, len(chain.chainage_m) - 1):
        place = float(chain.chainage_m[k])
        post = int(np.searchsorted(at, place - _SAME_M))  # posts stand farther from each other than this
        name = plan.post_names[post] if post < len(at) and abs(float(at[post]) - place) < _SAME_M else ""
        rows.append(GradeBreak(place, float(chain.level_m[k]), float(chain.break_deg[k]), float(grade[k]), name))
    return tuple(rows)


def tolerance_words(plan: LinePlan) -> str:
    """Which tolerance is in force along a line, and why.

    Args:
        plan: Plan of the line.
    """
    from planner.profile.grade_breaks import NOISE_TIMES

    asked, kept = plan.inputs.settings.grade_tolerance_m, plan.chain.tolerance_m
    if kept > asked + 1e-9:
        return (f"Tolerance {grouped(kept, 2)} m: {NOISE_TIMES:g} times the noise of the levels "
                f"({grouped(plan.ground.noise_m, 2)} m), which is more than the {grouped(asked, 2)} m set. "
                "Smaller rises and dips cannot be told from noise.")
    return f"Tolerance {grouped(kept, 2)} m, as set: the ground leaves the grades by no more."


def _what(row: GradeBreak) -> str:
    return "dip" if row.break_deg > 0 else "rise"
