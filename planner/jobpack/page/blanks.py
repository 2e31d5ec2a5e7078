"""Lines to write on, and boxes that nobody overlooks."""

from __future__ import annotations

from collections.abc import Sequence

from planner.jobpack.page.flow import Flow
from planner.jobpack.page.lettering import fitted_size, line_height, paragraph, text_width, wrapped
from planner.jobpack.page.records import INK, Mark, Stroke, Text, box


def blank_line(flow: Flow, pairs: Sequence[str | tuple[str, str]]) -> None:
    """Words side by side, each with what stands there already, or with a dotted line to write on.

    Args:
        flow: Where to put them.
        pairs: A word, or a word and its value.
    """
    form = flow.form
    flow.need(8.0)
    wide = form.inner_width / len(pairs)
    marks: list[Mark] = []
    for k, pair in enumerate(pairs):
        word, value = (pair, "") if isinstance(pair, str) else pair
        x = form.left + k * wide
        start = x + text_width(word, size_pt=8.5, weight="semibold") + 2.0
        marks.append(Text(x, flow.y + 4.6, word, 8.5, "semibold"))
        if value:
            size = fitted_size(value, width=x + wide - 4.0 - start, size_pt=9.5)
            marks.append(Text(start, flow.y + 4.6, value, size))
        else:
            marks.append(Stroke(((start, flow.y + 5.0), (x + wide - 4.0, flow.y + 5.0)), 0.2, INK, "dotted"))
    flow.put(marks, 8.0)


def loud_box(flow: Flow, words: str, *, size_pt: float = 9.5) -> None:
    """Bold words in a thick frame.

    Args:
        flow: Where to put them.
        words: The words.
        size_pt: Size of their letters. [pt]
    """
    form = flow.form
    lines = wrapped(words, width=form.inner_width - 6.0, size_pt=size_pt, weight="bold")
    height = len(lines) * line_height(size_pt) + 3.0
    flow.need(height + 2.0)
    marks: list[Mark] = [box(form.left, flow.y, form.inner_width, height, width_mm=0.8)]
    marks += paragraph(form.left + 3.0, flow.y + 1.2, words, width=form.inner_width - 6.0, size_pt=size_pt,
                       weight="bold")
    flow.put(marks, height + 2.0)
