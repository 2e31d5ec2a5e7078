"""Lettering: how wide a text stands, and where it is broken so that it fits a width."""

from __future__ import annotations

from functools import lru_cache

from planner.jobpack.page.font_file import letters
from planner.jobpack.page.records import PT_MM, Text, Weight

LINE_FACTOR = 1.22
"""Distance of base lines, as a multiple of the letter size."""
ASCENT = 0.73
"""Height of tall letters above the base line, as a multiple of the letter size."""
DESCENT = 0.21
"""Depth of letters such as p below it."""
_ASIDE = {"left": 0.0, "middle": 0.5, "right": 1.0}
_BREAK_AFTER = " -/,;·"


def text_width(text: str, *, size_pt: float, weight: Weight = "regular") -> float:
    """How wide a text stands. [mm]

    Args:
        text: The text.
        size_pt: Size of the letters. [pt]
        weight: Weight of the letters.

    Example:
        >>> round(text_width("0000000000", size_pt=10.0), 2)
        17.53
    """
    return _share(text, weight) * size_pt * PT_MM


@lru_cache(maxsize=32768)
def _share(text: str, weight: Weight) -> float:
    return letters(weight).width(text)


def line_height(size_pt: float) -> float:
    """Distance from base line to base line. [mm]

    Args:
        size_pt: Size of the letters. [pt]
    """
    return size_pt * PT_MM * LINE_FACTOR


def extent(text: Text) -> tuple[float, float, float, float]:
    """Rectangle that a text fills before it is turned: left, top, right, bottom. [mm]

    Args:
        text: The text.
    """
    width = text_width(text.text, size_pt=text.size_pt, weight=text.weight)
    left = text.x - _ASIDE[text.align] * width
    size = text.size_pt * PT_MM
    return left, text.y - ASCENT * size, left + width, text.y + DESCENT * size


def wrapped(text: str, *, width: float, size_pt: float, weight: Weight = "regular") -> tuple[str, ...]:
    """A text in lines that each fit a width; broken after blanks, dashes and slashes, inside a word only where it must.

    Args:
        text: The text; line feeds in it are kept.
        width: Width to fit. [mm] One letter always stands, however narrow it is.
        size_pt: Size of the letters. [pt]
        weight: Weight of the letters.

    Returns:
        Lines, at least one. Nothing of the text is lost but blanks at the breaks.

    Example:
        >>> wrapped("end post and corner", width=14.0, size_pt=9.0)
        ('end post', 'and', 'corner')
    """
    return _wrapped(text, round(width / (size_pt * PT_MM), 6), weight)


def fitted_size(text: str, *, width: float, size_pt: float, weight: Weight = "regular", least_pt: float = 5.0) -> float:
    """The size at which a text fits a width in one line: that given, or a smaller one. [pt]

    Args:
        text: The text.
        width: Width to fit. [mm]
        size_pt: Size wanted. [pt]
        weight: Weight of the letters.
        least_pt: Smallest size taken, whether it fits or not. [pt]
    """
    wide = text_width(text, size_pt=size_pt, weight=weight)
    return size_pt if wide <= width else max(least_pt, size_pt * width / wide)


def paragraph(x: float, y: float, text: str, *, width: float, size_pt: float = 9.0, weight: Weight = "regular",
              colour: str = "#18211d") -> tuple[Text, ...]:
    """A text broken to a width, its upper edge at y.

    Args:
        x: Left edge. [mm]
        y: Upper edge. [mm]
        text: The text.
        width: Width. [mm]
        size_pt: Size of the letters. [pt]
        weight: Weight of the letters.
        colour: Colour of the letters.
    """
    step = line_height(size_pt)
    first = y + ASCENT * size_pt * PT_MM
    return tuple(Text(x, first + k * step, line, size_pt, weight, "left", colour)
                 for k, line in enumerate(wrapped(text, width=width, size_pt=size_pt, weight=weight)))


@lru_cache(maxsize=8192)
def _wrapped(text: str, room: float, weight: Weight) -> tuple[str, ...]:
    """Kept for texts that stand on many pages."""
    return tuple(line for part in text.split("\n") for line in _wrapped_part(part, room, weight))


def _wrapped_part(text: str, room: float, weight: Weight) -> list[str]:
    wide = letters(weight).width
    if wide(text) <= room:
        return [text]
    lines: list[str] = []
    line, used = "", 0.0
    for word in _words(text):
        bare = used + wide(word.rstrip())
        if bare <= room:
            line += word
            used += wide(word)
            continue
        if line.strip():
            lines.append(line.rstrip())
        line = word
        while wide(line.rstrip()) > room and len(line) > 1:
            keep = _most_that_fit(line, room, weight)
            lines.append(line[:keep])
            line = line[keep:]
        used = wide(line)
    if line.strip() or not lines:
        lines.append(line.rstrip())
    return lines


def _words(text: str) -> list[str]:
    words, start = [], 0
    for k, letter in enumerate(text):
        last = k + 1 == len(text)
        if last or (letter in _BREAK_AFTER and text[k + 1] not in _BREAK_AFTER and not _in_number(text, k)):
            words.append(text[start:k + 1])
            start = k + 1
    return words


def _in_number(text: str, k: int) -> bool:
    """A comma or slash between two figures does not part them, nor does a dash before a figure."""
    if text[k] == "-":
        return text[k + 1].isdigit()
    return text[k] != " " and k > 0 and text[k - 1].isdigit() and text[k + 1].isdigit()


def _most_that_fit(text: str, room: float, weight: Weight) -> int:
    wide, used = letters(weight).width, 0.0
    for k, letter in enumerate(text):
        used += wide(letter)
        if used > room:
            return max(1, k)
    return len(text)
