"""What holds on every page: nothing outside the paper, no text on another, nothing in a letter the font lacks."""

from __future__ import annotations

import shapely

from planner.jobpack.page.font_file import letters
from planner.jobpack.page.form import MARGIN_MM
from planner.jobpack.page.records import Page, Text, Window, every_mark
from planner.jobpack.page.spread import text_shape

TOUCH_MM2 = 0.06
"""Letters whose boxes meet by less than this do not touch: boxes are as tall as the tallest letter. [mm2]"""


def texts(page: Page) -> list[Text]:
    return [mark for mark in every_mark(page.marks) if isinstance(mark, Text) and mark.text.strip()]


def overlaps(page: Page) -> list[tuple[str, str]]:
    found = texts(page)
    shapes = [text_shape(text) for text in found]
    tree = shapely.STRtree(shapes)
    pairs = tree.query(shapes, predicate="intersects").T
    return [(found[a].text, found[b].text) for a, b in pairs.tolist()
            if a < b and shapes[a].intersection(shapes[b]).area > TOUCH_MM2]


def off_paper(page: Page) -> list[str]:
    """Texts that reach nearer to the edge of the paper than 4 mm, where printers cannot print."""
    paper = shapely.box(4.0, 4.0, page.width - 4.0, page.height - 4.0)
    return [text.text for text in texts(page) if not paper.covers(text_shape(text))]


def past_margin(page: Page) -> list[str]:
    """Texts that reach beyond the right or lower margin, but for what stands on a map."""
    column = shapely.box(0.0, 0.0, page.width - MARGIN_MM + 0.6, page.height)
    in_maps = {id(mark) for window in page.marks if isinstance(window, Window) for mark in every_mark(window.marks)}
    return [text.text for text in texts(page) if id(text) not in in_maps and not column.covers(text_shape(text))]


def missing_letters(page: Page) -> set[str]:
    return {letter for text in texts(page) for letter in text.text if not letters(text.weight).has(letter)}


def words(pages: tuple[Page, ...]) -> str:
    """All texts of some pages, one after another, without the spaces that do not break."""
    return " ".join(text.text for page in pages for text in texts(page)).replace("\u00a0", " ").replace("\u202f", "")
