"""Marks on a page: texts, lines, areas and symbols, in millimetres from its upper left corner."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, TypeAlias

Weight = Literal["regular", "semibold", "bold", "italic"]
Align = Literal["left", "middle", "right"]
Dash = Literal["solid", "dashed", "dotted", "dash-dot", "dash-dot-dot"]
Spot: TypeAlias = tuple[float, float]
"""x to the right and y down. [mm]"""

INK = "#18211d"
FAINT = "#5c665f"
RULE = "#aab0a8"
BAND = "#eceee8"
PAPER = "#ffffff"
WATER = "#2f6690"
PT_MM = 25.4 / 72.0
"""One point, the unit of letter sizes. [mm]"""


@dataclass(frozen=True, slots=True)
class Text:
    """One line of letters.

    Attributes:
        x: Where it starts, is centred or ends, as ``align`` says. [mm]
        y: Its base line. [mm]
        text: The letters.
        size_pt: Size of the letters. [pt]
        weight: Weight of the letters.
        align: Which part of the text stands at x.
        colour: Colour, ``#rrggbb``.
        angle_deg: Turned against the clock about its start point. [deg]
    """

    x: float
    y: float
    text: str
    size_pt: float = 9.0
    weight: Weight = "regular"
    align: Align = "left"
    colour: str = INK
    angle_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line through some points.

    Attributes:
        points: At least two. [mm]
        width_mm: Its width. [mm]
        colour: Colour, ``#rrggbb``.
        dash: How it is broken up.
    """

    points: tuple[Spot, ...]
    width_mm: float = 0.2
    colour: str = INK
    dash: Dash = "solid"


@dataclass(frozen=True, slots=True)
class Strokes:
    """Many straight strokes of one kind.

    Attributes:
        segments: x and y of both ends of each. [mm]
        width_mm: Their width. [mm]
        colour: Colour, ``#rrggbb``.
        dash: How they are broken up.
    """

    segments: tuple[tuple[float, float, float, float], ...]
    width_mm: float = 0.2
    colour: str = INK
    dash: Dash = "solid"


@dataclass(frozen=True, slots=True)
class Area:
    """A filled shape.

    Attributes:
        points: Its outline, the first point not repeated. [mm]
        fill: Colour inside, ``#rrggbb``; empty for none.
        edge: Colour of the outline; empty for none.
        width_mm: Width of the outline. [mm]
    """

    points: tuple[Spot, ...]
    fill: str = ""
    edge: str = INK
    width_mm: float = 0.2


@dataclass(frozen=True, slots=True)
class Symbol:
    """A symbol of the map and the strip.

    Attributes:
        kind: Which one; a key of the table of symbols.
        x: Its middle. [mm]
        y: Its middle. [mm]
        size_mm: Its width. [mm]
        angle_deg: Turned against the clock. [deg]
        colour: Colour, ``#rrggbb``.
    """

    kind: str
    x: float
    y: float
    size_mm: float = 3.0
    angle_deg: float = 0.0
    colour: str = INK


@dataclass(frozen=True, slots=True)
class Window:
    """Marks of which only what lies inside a rectangle is seen, such as a map in its frame.

    Attributes:
        x: Left edge. [mm]
        y: Upper edge. [mm]
        width: Width. [mm]
        height: Height. [mm]
        marks: What is seen through it.
    """

    x: float
    y: float
    width: float
    height: float
    marks: tuple[Mark, ...]


Mark: TypeAlias = Text | Stroke | Strokes | Area | Symbol | Window


@dataclass(frozen=True, slots=True)
class Page:
    """One page.

    Attributes:
        width: Width of the paper. [mm]
        height: Height of the paper. [mm]
        title: What the sheet is called.
        marks: What stands on it, the first at the bottom.
        about: What its head says of the accuracy of what it shows.
    """

    width: float
    height: float
    title: str
    marks: tuple[Mark, ...]
    about: str = ""


def box(x: float, y: float, width: float, height: float, *, fill: str = "", edge: str = INK,
        width_mm: float = 0.2) -> Area:
    """An upright rectangle.

    Args:
        x: Left edge. [mm]
        y: Upper edge. [mm]
        width: Width. [mm]
        height: Height. [mm]
        fill: Colour inside; empty for none.
        edge: Colour of the outline; empty for none.
        width_mm: Width of the outline. [mm]
    """
    return Area(((x, y), (x + width, y), (x + width, y + height), (x, y + height)), fill, edge, width_mm)


def every_mark(marks: tuple[Mark, ...]) -> Iterator[Mark]:
    """All marks, those behind windows among them.

    Args:
        marks: Marks.
    """
    for mark in marks:
        if isinstance(mark, Window):
            yield from every_mark(mark.marks)
        else:
            yield mark


def texts_of(page: Page) -> list[str]:
    """The texts of a page in the order in which they were put there, for tests and for reading aloud.

    Args:
        page: The page.
    """
    return [mark.text for mark in every_mark(page.marks) if isinstance(mark, Text)]
