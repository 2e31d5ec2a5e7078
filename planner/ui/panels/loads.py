"""Loads: cautions first, then the posts that lift or are pulled aside, the ends, and tension by temperature."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from planner.render.symbols import SYMBOL_OF_POST
from planner.ui.document import Selection
from planner.ui.measures import count
from planner.ui.panels.cards import Fold, Words
from planner.ui.panels.electric_card import ElectricCard
from planner.ui.panels.fields import SettingField
from planner.ui.panels.figures import ADVISORY, hands
from planner.ui.panels.pairs import Pair, Pairs
from planner.ui.panels.panel import LineChooser, StepPanel
from planner.ui.panels.rows_model import Column
from planner.ui.panels.table import RowTable
from planner.units import Newton
from planner.wording import listed

if TYPE_CHECKING:
    from planner.job.plan import JobPlan, LinePlan
    from planner.loads.turns_and_uplift import PostLoad
    from planner.loads.wire_tension import TemperatureRow
    from planner.sections.posts import Post
    from planner.sections.strains import Section

CAUTIONS_AT_FIRST = 2
LEAST_N: Newton = 50.0
"""Force below which a post is not listed. [N]"""


@dataclass(frozen=True, slots=True)
class LoadedPost:
    """A post that is lifted or pulled aside."""

    name: str
    post: Post
    load: PostLoad

    @property
    def greatest_n(self) -> Newton:
        """The greater of lift and side force. [N]"""
        return max(self.load.uplift_n, self.load.side_n)


@dataclass(frozen=True, slots=True)
class EndRow:
    """One kind of end assembly under the full pull. Advisory."""

    key: str
    description: str
    number: int
    rail_n: Newton
    brace_n: Newton
    uplift_n: Newton


class LoadsPanel(StepPanel):
    """The panel of the loads."""

    KEY = "loads"

    def build(self) -> Iterator[None]:
        """Puts the cards of the panel into its column, a piece a turn."""
        self.cautions_card = self.card("Before anything is strained")
        self.chooser = LineChooser(self.document)
        self.cautions, self.more_cautions = Words(soft=False), Words(soft=False)
        self.cautions_fold = Fold("")
        self.cautions_fold.add(self.more_cautions)
        self.cautions_card.add(self.chooser, self.cautions, self.cautions_fold)
        yield
        self._build_posts()
        yield
        self._build_ends()
        yield
        self._build_temperature()
        yield
        self.electric = ElectricCard(self)
        self.column.addWidget(self.electric)

    def _build_posts(self) -> None:
        self.posts_card = self.card("Posts that lift or are pulled aside")
        self.posts = RowTable("Posts that lift or are pulled aside", (
            Column("post", lambda row: row.name, strong=True, symbol=lambda row: SYMBOL_OF_POST[row.post.kind]),
            Column("lift", lambda row: self._force(row.load.uplift_n), right=True, tip="Lifts the post"),
            Column("side", lambda row: self._force(row.load.side_n), right=True, tip="Pulls it across the line"),
            Column("hold it by", lambda row: _hold(row), stretch=True),
            Column("at", lambda row: self.measures.figure(row.post.chainage_m), right=True, spare=1, tip="Chainage"),
        ), key=lambda row: row.name, most=10)
        self.posts.chosen.connect(self._take_post)
        self.post_facts, self.post_words = Pairs(), Words()
        self.posts_card.add(self.posts, self.post_facts, self.post_words)

    def _build_ends(self) -> None:
        self.ends_card = self.card("End assemblies")
        self.ends = RowTable("End assemblies", (
            Column("assembly", lambda row: row.description, stretch=True),
            Column("no.", lambda row: str(row.number), right=True),
            Column("rail", lambda row: self._force(row.rail_n), right=True, tip="Thrust of the rail or stay"),
            Column("brace", lambda row: self._force(row.brace_n), right=True, tip="Tension of the brace wire"),
            Column("lift", lambda row: self._force(row.uplift_n), right=True, tip="Lifts the end post"),
        ), key=lambda row: row.key, most=6)
        self.end_words = Words()
        self.ends_card.add(self.ends, self.end_words)

    def _build_temperature(self) -> None:
        self.cold_card = self.card("Tension by temperature")
        self.cold_box = self.cold_card.body
        self.cold: RowTable | None = None
        self.cold_words = Words()
        self.settings = [SettingField("setting_temperature_c", "Wire temperature when strained", self.take_setting),
                         SettingField("end_yield_mm_per_kn", "An end gives, mm per kN", self.take_setting)]
        self.cold_card.add(self.cold_words, *self.settings)

    # showing

    def fill(self) -> None:
        """Shows the job and its plan as they are now."""
        plan = self.line
        self._shown, self._cold_for = plan, None
        self.chooser.show_line()
        self.electric.show_plan(self.document.plan, self.measures)
        self._fill_cautions(plan)
        for card in (self.posts_card, self.ends_card, self.cold_card):
            card.setVisible(plan is not None)
        for field in self.settings:
            field.show_setting(self.document.job.settings, self.measures)
        if plan is None:
            return
        rows = loaded_posts(plan)
        self.posts.show_rows(rows)
        self.posts.setVisible(bool(rows))
        unit = self.measures.force_unit
        self.posts_card.aside.setText(f"{count(len(rows), 'post')}, {unit}" if rows else "")
        self.ends_card.aside.setText(unit)
        self.ends.show_rows(end_rows(plan, self.document.plan))
        pull = self.measures.force(plan.fence.pull_n)
        balance = hands(plan.fence.pull_n, self.measures)
        self.end_words.say(f"Under the full pull of {pull}{f' ({balance})' if balance else ''} from one side, acting "
                           f"{self.measures.small(plan.fence.pull_height_m)} above ground. {ADVISORY}")

    def _fill_cautions(self, plan: LinePlan | None) -> None:
        from planner.loads.cautions import ADVISORY as LOADS_ARE_ADVISORY
        from planner.loads.cautions import CAUTIONS, cautions_for

        every = [c for c in (cautions_for(plan.fence) if plan is not None else CAUTIONS) if c.key != "advisory"]
        first, rest = every[:CAUTIONS_AT_FIRST], every[CAUTIONS_AT_FIRST:]
        self.cautions.say("\n\n".join([LOADS_ARE_ADVISORY.text, *(c.text for c in first)]))
        own = list(plan.fence.cautions) if plan is not None else []
        self.more_cautions.say("\n\n".join([*(f"{c.text} ({c.source})" for c in rest), *own]))
        self.cautions_fold.set_title(f"{len(rest) + len(own)} more cautions")
        self.cautions_card.aside.setText("advisory")

    def show_selection(self) -> None:
        """Shows what is in hand."""
        if self.line is not self._shown:
            self.fill()
        plan = self.line
        if plan is None:
            return
        name = self.document.selection.post
        row = next((row for row in self.posts.rows if row.name == name), None)
        self.posts.choose(name if row is not None else None)
        self._show_post(row)
        section = self._section()
        if (section, self.measures) != self._cold_for:
            self._cold_for = (section, self.measures)
            self._show_cold(plan, section)

    def _show_post(self, row: LoadedPost | None) -> None:
        if row is None:
            self.post_facts.show_rows([], self.look)
            self.post_words.say(f"Choose a post to see why. {ADVISORY}" if self.posts.rows else
                                f"None is lifted or pulled aside by more than {LEAST_N:g} N.")
            return
        post, load, measures = row.post, row.load, self.measures
        rows = [Pair(f"{row.name}, {post.kind} post at", measures.length(post.chainage_m))]
        if abs(load.uplift_n) >= 1:
            size = abs(load.uplift_n)
            rows.append(Pair("Lifted by" if load.uplift_n > 0 else "Pressed down by", measures.force(size),
                             hands(size, measures)))
        if load.side_n >= 1:
            rows.append(Pair("Pulled aside by", measures.force(load.side_n), hands(load.side_n, measures)))
        rows.append(Pair("The wires turn", measures.angle(abs(post.turn_deg)), "in plan"))
        rows.append(Pair("and", measures.angle(post.break_deg), "in profile"))
        rows.append(Pair("Post", measures.length(post.required_length_m, 2), "or longer"))
        self.post_facts.show_rows(rows, self.look)
        self.post_words.say(f"Hold it by: {_hold(row)}. {ADVISORY}")

    def _section(self) -> Section | None:
        plan, chosen = self.line, self.document.selection.section
        strained = [s for s in plan.sections if s.id in plan.joins] if plan is not None else []
        return next((s for s in strained if s.id == chosen), strained[0] if strained else None)

    def _show_cold(self, plan: LinePlan, section: Section | None) -> None:
        from planner.loads.wire_tension import temperature_table

        if self.cold is not None:
            self.cold_box.removeWidget(self.cold)
            self.cold.deleteLater()
            self.cold = None
        job = self.document.plan
        if section is None or job is None:
            self.cold_words.say("No section of this line is strained.")
            return
        settings = plan.inputs.settings
        rows = temperature_table(plan.fence, job.catalogue.items, length_m=section.slope_length_m, settings=settings)
        self.cold = RowTable(f"Tension by temperature of {section.id}", self._cold_columns(rows[0]),
                             key=lambda row: row.temperature_c, most=8)
        self.cold_box.insertWidget(1, self.cold)
        self.cold.set_theme(self.look)
        self.cold.show_rows(rows)
        self.cold.choose(settings.setting_temperature_c)
        self.cold_card.aside.setText(f"{section.id}, {self.measures.force_unit}")
        rigid = settings.end_yield_mm_per_kn == 0.0
        self.cold_words.say(f"Strained at {settings.setting_temperature_c:g} °C over "
                            f"{self.measures.length(section.slope_length_m)}"
                            f"{', ends taken as rigid: real swings are smaller' if rigid else ''}. {ADVISORY}")

    def _cold_columns(self, first: TemperatureRow) -> list[Column]:
        columns = [Column("°C", lambda row: f"{row.temperature_c:.0f}".replace("-", "−"), right=True, strong=True),
                   Column("pull", lambda row: self._force(row.total_n), right=True, stretch=True,
                          tip="All wires together")]
        if first.mesh_wire_n is not None:
            columns.append(Column("mesh wire", lambda row: self._force(row.mesh_wire_n or 0.0), right=True,
                                  tip="One line wire of the mesh"))
        for number, (name, _) in enumerate(first.strands):
            columns.append(Column(name, self._strand(number), right=True, spare=max(0, number - 1)))
        return columns

    def _strand(self, number: int) -> Callable[[TemperatureRow], str]:
        return lambda row: self._force(row.strands[number][1])

    def _force(self, newtons: Newton) -> str:
        """A force without its unit; nothing for next to nothing."""
        if abs(newtons) < 0.5:
            return "–"
        return self.measures.force(newtons).rpartition("\u00a0")[0]

    def _take_post(self, name: object) -> None:
        plan = self.line
        row = next((row for row in self.posts.rows if row.name == name), None)
        if plan is not None and row is not None:
            self.document.select(Selection(plan.line.name, row.post.section, row.name))
            self.document.point_at(plan.line.name, row.post.chainage_m)

    _shown: LinePlan | None = None
    _cold_for: tuple[Section | None, object] | None = None


def loaded_posts(plan: LinePlan) -> list[LoadedPost]:
    """The posts of a line that are lifted or pulled aside, the greatest force first.

    Args:
        plan: Plan of the line.
    """
    every = zip(plan.post_names, plan.posts, plan.loads, strict=True)
    rows = [LoadedPost(name, post, load) for name, post, load in every
            if load.hold_down != "none" or load.deviation_class
            or (post.kind in ("rise", "dip", "deviation") and max(load.uplift_n, load.side_n) >= LEAST_N)]
    return sorted(rows, key=lambda row: (-row.greatest_n, row.post.chainage_m))


def end_rows(plan: LinePlan, job: JobPlan | None) -> list[EndRow]:
    """The kinds of end assembly on a line, with their forces under the full pull. Advisory.

    Args:
        plan: Plan of the line.
        job: Plan of the job, for its end assemblies.
    """
    from planner.loads.end_assembly import assembly_forces
    from planner.sections.strains import end_places

    numbers: dict[str, int] = {}
    for place in end_places(plan.sections, closed=plan.line.closed):
        numbers[place.end.assembly] = numbers.get(place.end.assembly, 0) + 1
    rows = []
    for key, number in numbers.items():
        made = job.catalogue.assemblies.get(key) if job is not None else None
        if made is not None:
            forces = assembly_forces(plan.fence, made)
            rows.append(EndRow(key, made.description, number, forces.rail_n, forces.brace_wire_n, forces.uplift_n))
    return rows


def _hold(row: LoadedPost) -> str:
    parts: list[str] = [] if row.load.hold_down == "none" else [row.load.hold_down]
    parts += [f"{row.load.deviation_class} deviation post"] if row.load.deviation_class else []
    return listed(parts) or "a plain post"

