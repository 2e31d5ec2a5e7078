"""The fence type: explained, made the job's own, and changed in a plain editor that says at once what is wrong."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer
from PySide6.QtGui import QFontDatabase
from PySide6.QtWidgets import QPlainTextEdit

from planner.errors import BadFenceType, PlannerError
from planner.ui.document import Document
from planner.ui.measures import Measures
from planner.ui.panels.cards import Card, Fold, Words, button
from planner.ui.panels.combo import Combo
from planner.ui.panels.fence_picture import FencePicture
from planner.ui.panels.figures import hands
from planner.ui.panels.marks import Refusal
from planner.ui.panels.pairs import Pair, Pairs
from planner.ui.panels.rows_model import Column
from planner.ui.panels.table import RowTable
from planner.ui.theme import Theme
from planner.wording import listed

if TYPE_CHECKING:
    from planner.spec.catalogue import Catalogue
    from planner.spec.fence_type import FenceType

LATER_MS = 250


class FenceCard(Card):
    """The fence type in hand.

    Args:
        document: The document.
        attempt: Does an edit; raises PlannerError when it cannot be done.
    """

    def __init__(self, document: Document, attempt: Callable[..., None]) -> None:
        super().__init__("Fence type")
        self._document, self._attempt = document, attempt
        self._measures = Measures()
        self._fence: FenceType | None = None
        self.key = ""
        self.combo = Combo("Fence type shown")
        self.combo.activated.connect(lambda _: self._choose(str(self.combo.currentData())))
        self.use, self.picture, self.facts = Words(), FencePicture(), Pairs()
        self.wires = RowTable("Wires", (
            Column("wire, top first", lambda row: row[0], stretch=True),
            Column("mm up", lambda row: row[1], right=True),
            Column("strain", lambda row: row[2], right=True),
            Column("tied", lambda row: row[3], spare=1),
        ), key=lambda row: (row[0], row[1]), most=9)
        self.take = button("", self._use, kind="main")
        self.own = button("Make it the job's own", self._duplicate,
                          tip="Copies this type into the job, where its figures can be changed")
        self.refusal = Refusal()
        self.full = Fold("In full, with sources")
        self.text = QPlainTextEdit()
        self.text.setReadOnly(True)
        self.text.setAccessibleName("The fence type in full")
        self.text.setLineWrapMode(QPlainTextEdit.LineWrapMode.NoWrap)
        self.full.add(self.text)
        self.full.button.toggled.connect(lambda _: self._explain())
        self.editor = FenceEditor(document, self._keep, self._drop)
        self.add(self.combo, self.use, self.picture, self.facts, self.wires)
        self.add_row(self.take, self.own)
        self.add(self.refusal, self.full, self.editor)

    def show_fences(self, key: str, look: Theme, measures: Measures) -> None:
        """Shows a fence type.

        Args:
            key: Its key; the type shown before stays when it is empty.
            look: The theme.
            measures: How values are shown.
        """
        self._look, self._measures = look, measures
        catalogue = self._catalogue()
        if catalogue is None or not catalogue.fences:
            return
        self.key = key or self.key
        if self.key not in catalogue.fences:
            if self.key in self._document.job.own_fences:
                return  # just made; the plan that knows it is on its way
            self.key = next(iter(catalogue.fences))
        own = self._document.job.own_fences
        choices = [(k, f"{fence.name}{'  (own)' if k in own else ''}") for k, fence in catalogue.fences.items()]
        self.combo.show_choices(sorted(choices, key=lambda c: (c[0] not in own, c[1])), self.key)
        self._show(catalogue.fences[self.key], look)

    def _show(self, fence: FenceType, look: Theme) -> None:
        measures = self._measures
        self._fence = fence
        self.aside.setText(f"{fence.key} {fence.version}")
        self.use.say(fence.use)
        self.picture.show_fence(fence, look)
        posts = fence.posts
        self.facts.show_rows([
            Pair("Height", measures.small(fence.height_m)),
            Pair("Pull on an end", measures.force(fence.pull_n), hands(fence.pull_n, measures)),
            Pair("Longest strain, even ground", measures.length(fence.max_strain_flat_m, 0)),
            Pair("and undulating", measures.length(fence.max_strain_undulating_m, 0)),
            Pair("Posts apart, even ground", measures.length(posts.spacing_m)),
            Pair("and uneven", measures.length(posts.spacing_uneven_m))], look)
        self.wires.show_rows(wire_rows(fence, measures))
        self._show_buttons(fence)
        self._explain()
        own = self._document.job.own_fences.get(fence.key)
        self.editor.setVisible(own is not None)
        if own is not None:
            self.editor.show_text(fence.key, own, self._lines_with(fence.key))

    def _show_buttons(self, fence: FenceType) -> None:
        line = self._document.line
        differs = line is not None and line.line.fence != fence.key
        self.take.setText(f"Use it for {line.line.name}" if line is not None else "")
        self.take.setVisible(differs)
        self.own.setText("Make a copy" if fence.key in self._document.job.own_fences else "Make it the job's own")

    def _explain(self) -> None:
        catalogue = self._catalogue()
        if not self.full.button.isChecked() or catalogue is None or self._fence is None:
            return
        from planner.spec.explain import explain_fence

        fixed = QFontDatabase.systemFont(QFontDatabase.SystemFont.FixedFont).family()
        size = 8.6 * (self._look.scale if self._look is not None else 1.0)
        self.text.setStyleSheet(f'QPlainTextEdit {{ font-family: "{fixed}"; font-size: {size:.1f}pt; }}')
        self.text.setFixedHeight(round(300 * size / 8.6))
        self.text.setPlainText(explain_fence(catalogue, self._fence.key))

    def _choose(self, key: str) -> None:
        if self._look is not None:
            self.show_fences(key, self._look, self._measures)

    def _use(self) -> None:
        from planner.job.edits import ChangeLine

        if self._document.line is not None:
            self._try(ChangeLine(self._document.line.line.name, fence=self.key))

    def _duplicate(self) -> None:
        from planner.job.edits import KeepOwnFence

        job, old = self._document.job, self.key
        catalogue = self._catalogue()
        taken = set(catalogue.fences if catalogue is not None else ()) | set(job.own_fences)
        key, number = f"{old}-own", 2
        while key in taken:
            key, number = f"{old}-own-{number}", number + 1
        try:
            text = toml_of(old, job.own_fences)
        except PlannerError as trouble:
            self.refusal.say(str(trouble))
            return
        self.key = key
        self._try(KeepOwnFence(key, text))

    def _keep(self, key: str, text: str) -> None:
        from planner.job.edits import KeepOwnFence

        self._try(KeepOwnFence(key, text))

    def _drop(self, key: str) -> None:
        from planner.job.edits import KeepOwnFence

        self.key = ""
        self._try(KeepOwnFence(key, ""))

    def _try(self, edit: object) -> None:
        try:
            self._attempt(edit)
        except PlannerError as trouble:
            self.refusal.say(str(trouble))
        else:
            self.refusal.say("")

    def _catalogue(self) -> Catalogue | None:
        plan = self._document.plan
        return plan.catalogue if plan is not None else None

    def _lines_with(self, key: str) -> tuple[str, ...]:
        return tuple(line.name for line in self._document.job.lines if line.fence == key)

    _look: Theme | None = None


class FenceEditor(Fold):
    """A plain editor of a fence type of the job's own, which says while one types whether it can be used.

    Args:
        document: The document.
        keep: Keeps a type: key and text.
        drop: Takes a type away: its key.
    """

    def __init__(self, document: Document, keep: Callable[[str, str], None], drop: Callable[[str], None]) -> None:
        super().__init__("Change its figures")
        self._document, self._keep, self._drop = document, keep, drop
        self._key, self._kept = "", ""
        self.field = QPlainTextEdit()
        self.field.setAccessibleName("The fence type as text")
        self.field.setLineWrapMode(QPlainTextEdit.LineWrapMode.NoWrap)
        self.field.setTabChangesFocus(True)
        self.field.textChanged.connect(self._later)
        self.good, self.wrong, self.used = Words(), Refusal(), Words()
        self.keep_button = button("Keep", self._keep_now, kind="main", name="Keep the changed fence type")
        self.undo_button = button("Take back", self._take_back, name="Take back what was typed")
        self.drop_button = button("Drop this type", lambda: self._drop(self._key))
        self.add(self.field, self.good, self.wrong, self.used)
        from PySide6.QtWidgets import QHBoxLayout

        row = QHBoxLayout()
        row.setSpacing(8)
        for made in (self.keep_button, self.undo_button, self.drop_button):
            row.addWidget(made)
        row.addStretch(1)
        self.body.addLayout(row)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(LATER_MS)
        self._timer.timeout.connect(self.check)

    def show_text(self, key: str, text: str, used_by: tuple[str, ...]) -> None:
        """Shows a type, unless it is being changed.

        Args:
            key: Its key.
            text: Its text as the job keeps it.
            used_by: Lines that carry it.
        """
        if key != self._key or text != self._kept:
            changed = key == self._key and self.field.toPlainText() not in (self._kept, text)
            self._key, self._kept = key, text
            if not changed:
                self.field.setPlainText(text)
        self.drop_button.setEnabled(not used_by)
        self.used.say(f"Carried by {listed(list(used_by))}; to drop it, give the line another type first."
                      if used_by else "")
        self.check()

    def check(self) -> bool:
        """Says whether what is typed can be used, and gives the answer."""
        self._timer.stop()
        text = self.field.toPlainText()
        try:
            fence = checked_fence(self._document.job.own_fences, self._document.job.own_items, self._key, text)
        except PlannerError as trouble:
            self.wrong.say(str(trouble))
            self.good.say("")
            is_good = False
        else:
            self.wrong.say("")
            self.good.say(f"It can be used: {1000 * fence.height_m:.0f} mm high, pull {fence.pull_n / 1000:.2f} kN, "
                          f"strained up to {fence.max_strain_flat_m:g} m on even ground.")
            is_good = True
        self.keep_button.setEnabled(is_good and text != self._kept)
        self.undo_button.setEnabled(text != self._kept)
        return is_good

    def set_theme(self, look: Theme) -> None:
        """Takes other colours and sizes."""
        super().set_theme(look)
        self.wrong.set_theme(look)
        fixed = QFontDatabase.systemFont(QFontDatabase.SystemFont.FixedFont).family()
        self.field.setStyleSheet(f'QPlainTextEdit {{ font-family: "{fixed}"; font-size: {8.6 * look.scale:.1f}pt; }}')
        self.field.setFixedHeight(round(280 * look.scale))

    def _later(self) -> None:
        self._timer.start()

    def _keep_now(self) -> None:
        if self.check():
            self._keep(self._key, self.field.toPlainText())

    def _take_back(self) -> None:
        self.field.setPlainText(self._kept)
        self.check()


def checked_fence(own: object, own_items: str, key: str, text: str) -> FenceType:
    """The fence type of a text, checked throughout with everything else that the job may choose from.

    Args:
        own: The job's own fence types, key to text.
        own_items: The job's own items.
        key: Key of the type.
        text: Its text.

    Raises:
        BadFenceType: It breaks the rules of its kind.
    """
    from planner.spec.catalogue import load_catalogue

    fences = {**dict(own), key: text}  # type: ignore[call-overload]
    return load_catalogue(own_fences=fences, own_items=own_items).fences[key]


def toml_of(key: str, own: object) -> str:
    """The text of a fence type: the job's own, else the user's own file, else the shipped one.

    Args:
        key: Its key.
        own: The job's own fence types, key to text.

    Raises:
        BadFenceType: There is no such text, or it cannot be read.
    """
    from planner.shipped import resources
    from planner.spec.catalogue import own_fence_folder

    kept: dict[str, str] = dict(own)  # type: ignore[call-overload]
    if key in kept:
        return kept[key]
    for folder in (own_fence_folder(), resources() / "fences"):
        file = folder / f"{key}.toml"
        if file.is_file():
            try:
                return file.read_text(encoding="utf-8")
            except (OSError, UnicodeDecodeError) as trouble:
                raise BadFenceType("the file cannot be read", where=str(file),
                                   remedy="check that you may read it") from trouble
    raise BadFenceType("there is no file of this fence type", where=f"fence '{key}'", remedy="choose another")


def wire_rows(fence: FenceType, measures: Measures) -> list[tuple[str, str, str, str]]:
    """Wires of a fence type, top first: name, height, strain, how often it is tied.

    Args:
        fence: The fence type.
        measures: How forces are shown.
    """
    rows = [(s.height_m, (f"{s.name}, {s.kind}" if s.kind not in s.name else s.name, f"{1000 * s.height_m:.0f}",
                          measures.force(s.strain_n) if s.strain_n else "–", s.tie.replace("-", " ")))
            for s in fence.strands]
    mesh = fence.mesh
    if mesh is not None:
        top = mesh.gap_below_m + mesh.height_m
        rows.append((top, (f"mesh of {mesh.line_wires} wires, each", f"{1000 * mesh.gap_below_m:.0f}–{1000 * top:.0f}",
                           measures.force(mesh.strain_per_wire_n), "every post")))
    return [row for _, row in sorted(rows, key=lambda r: -r[0])]
