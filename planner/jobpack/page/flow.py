"""Flow: headings, texts, tables and figures set one under the other, over as many pages as they take."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from planner.jobpack.page.form import Form
from planner.jobpack.page.lettering import ASCENT, line_height, paragraph, text_width, wrapped
from planner.jobpack.page.records import FAINT, INK, PT_MM, Mark, Page, Stroke, Text, Weight, box
from planner.jobpack.page.table import LaidRow, Table, lay_table, split_row

Drawing = Callable[[float, float, float], Sequence[Mark]]
"""Draws into a frame: left edge, upper edge, width. [mm]"""
_CONTINUED_PT = 7.0
_UNPARTED_LINES = 4


class Flow:
    """Sets blocks under each other and starts a new page when one is full.

    Args:
        form: Paper.
        title: What the sheet is called in its head.
        about: What its head says of accuracy.
    """

    def __init__(self, form: Form, title: str, *, about: str = "") -> None:
        self.form = form
        self.title = title
        self.about = about
        self._pages: list[Page] = []
        self._marks: list[Mark] = []
        self.y = form.top

    @property
    def room(self) -> float:
        """Height left on this page. [mm]"""
        return self.form.bottom - self.y

    @property
    def has_pages(self) -> bool:
        """Whether a page is full already."""
        return bool(self._pages)

    @property
    def is_fresh(self) -> bool:
        """Whether nothing stands on this page yet."""
        return not self._marks

    def new_page(self) -> None:
        """Ends this page, unless nothing stands on it."""
        if self._marks:
            self._pages.append(Page(self.form.width, self.form.height, self.title, tuple(self._marks), self.about))
            self._marks = []
        self.y = self.form.top

    def need(self, height: float) -> None:
        """Starts a new page when less than this is left.

        Args:
            height: Height wanted. [mm]
        """
        if self.room < height:
            self.new_page()

    def gap(self, height: float = 3.0) -> None:
        """Leaves room, except at the top of a page.

        Args:
            height: Height of it. [mm]
        """
        if not self.is_fresh:
            self.y += height

    def put(self, marks: Iterable[Mark], height: float) -> None:
        """Puts marks that were placed by hand at ``y``.

        Args:
            marks: The marks.
            height: Height they take. [mm]
        """
        self._marks += marks
        self.y += height

    def heading(self, text: str, *, size_pt: float = 11.0, keep_with: float = 18.0) -> None:
        """A heading with a short rule before it, kept on the page of what follows.

        Args:
            text: The heading.
            size_pt: Size of its letters. [pt]
            keep_with: Height that must be left under it. [mm]
        """
        lines = wrapped(text, width=self.form.inner_width - 4.0, size_pt=size_pt, weight="bold")
        height = len(lines) * line_height(size_pt)
        self.need(height + keep_with)
        self.gap(2.5)
        marks: list[Mark] = [box(self.form.left, self.y + 0.5, 1.2, height - 1.0, fill=INK, edge="")]
        marks += paragraph(self.form.left + 3.0, self.y, text, width=self.form.inner_width - 3.0, size_pt=size_pt,
                           weight="bold")
        self.put(marks, height + 1.2)

    def text(self, text: str, *, size_pt: float = 9.0, weight: Weight = "regular", colour: str = INK,
             bullet: str = "") -> None:
        """A paragraph; a long one may run over to the next page, a short one is not parted.

        Args:
            text: The text.
            size_pt: Size of its letters. [pt]
            weight: Weight of its letters.
            colour: Colour of its letters.
            bullet: Sign before its first line; the text then stands beside it.
        """
        aside = text_width(bullet, size_pt=size_pt, weight="semibold") + 1.6 if bullet else 0.0
        step = line_height(size_pt)
        x = self.form.left + aside
        lines = wrapped(text, width=self.form.inner_width - aside, size_pt=size_pt, weight=weight)
        if len(lines) <= _UNPARTED_LINES:
            self.need(len(lines) * step)
        for k, line in enumerate(lines):
            self.need(step)
            base = self.y + ASCENT * size_pt * PT_MM
            if bullet and k == 0:
                self._marks.append(Text(self.form.left, base, bullet, size_pt, "semibold", "left", colour))
            self.put([Text(x, base, line, size_pt, weight, "left", colour)], step)
        self.y += 0.09 * size_pt

    def figure(self, height: float, draw: Drawing) -> None:
        """A drawing over the whole width, never parted.

        Args:
            height: Its height. [mm]
            draw: Draws it.
        """
        self.need(min(height, self.form.inner_height))
        self.put(draw(self.form.left, self.y, self.form.inner_width), height)

    def table(self, table: Table, *, aside: float = 0.0, width: float | None = None) -> None:
        """A table; where it runs over to a new page its head is repeated there.

        Args:
            table: The table.
            aside: How far it stands from the left edge. [mm]
            width: Its width. [mm] The whole width when None.
        """
        laid = lay_table(table, width or self.form.inner_width - aside)
        x = self.form.left + aside
        has_head = any(c.title for c in table.columns)
        head = laid.head.height if has_head else 0.0
        first = laid.rows[0].height if laid.rows else 0.0
        self.need(min(head + first, self.form.inner_height))
        self.put(laid.head_marks(x, self.y), head)
        rest: list[LaidRow] = list(reversed(laid.rows))
        while rest:
            row = rest.pop()
            if row.height > self.room + 1e-6:
                if row.height > self.form.inner_height - head - 5.0 and self.room > 20.0:
                    row, later = split_row(row, table, self.room)
                    rest.append(later)
                else:
                    self.new_page()
                    self.put(laid.head_marks(x, self.y), head)
                    rest.append(row)
                    continue
            self.put(laid.row_marks(row, x, self.y), row.height)
        self.y += 1.5

    def rule(self) -> None:
        """A thin rule over the whole width."""
        self.put([Stroke(((self.form.left, self.y), (self.form.right, self.y)), 0.15, FAINT)], 1.5)

    def pages(self) -> tuple[Page, ...]:
        """All pages so far; an empty flow gives none."""
        self.new_page()
        return tuple(self._pages)
