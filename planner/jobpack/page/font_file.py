"""How wide each letter of the shipped font is, read from the font file itself."""

from __future__ import annotations

import struct
from functools import lru_cache

from planner.errors import FileTrouble
from planner.jobpack.page.records import Weight
from planner.shipped import resources

FILES: dict[Weight, str] = {
    "regular": "SourceSansPro-Regular.ttf", "semibold": "SourceSansPro-Semibold.ttf",
    "bold": "SourceSansPro-Bold.ttf", "italic": "SourceSansPro-It.ttf"}


class Letters:
    """Advance widths of one font, as shares of the letter size.

    Args:
        content: Bytes of a TrueType font.

    Raises:
        FileTrouble: They are no such font.

    Source:
        OpenType specification 1.9: tables ``head``, ``hhea``, ``hmtx``, ``cmap`` format 4.
    """

    def __init__(self, content: bytes) -> None:
        try:
            self._read(content)
        except (struct.error, KeyError, ValueError) as trouble:
            raise FileTrouble("the font that comes with the program is damaged",
                              remedy="install the program again") from trouble

    def _read(self, content: bytes) -> None:
        count = struct.unpack_from(">H", content, 4)[0]
        tables = {content[12 + 16 * i:16 + 16 * i]: struct.unpack_from(">I", content, 20 + 16 * i)[0]
                  for i in range(count)}
        units = struct.unpack_from(">H", content, tables[b"head"] + 18)[0]
        wide = struct.unpack_from(">H", content, tables[b"hhea"] + 34)[0]
        advances = struct.unpack_from(f">{'H2x' * wide}", content, tables[b"hmtx"])
        self._glyphs = _glyphs(content, tables[b"cmap"])
        self._share = [advance / units for advance in advances]
        self._known: dict[str, float] = {}

    def has(self, letter: str) -> bool:
        """Whether the font holds a letter.

        Args:
            letter: One character.
        """
        return ord(letter) in self._glyphs

    def width(self, text: str) -> float:
        """Width of a text, as a multiple of the letter size; letters are not kerned.

        Args:
            text: The text. A letter that the font lacks counts as a full letter size.
        """
        try:
            return sum(map(self._known.__getitem__, text))
        except KeyError:  # a letter that was not met before
            return sum([self._known[letter] if letter in self._known else self._learn(letter) for letter in text])

    def _learn(self, letter: str) -> float:
        glyph = self._glyphs.get(ord(letter))
        width = 1.0 if glyph is None else self._share[min(glyph, len(self._share) - 1)]
        self._known[letter] = width
        return width


@lru_cache(maxsize=4)
def letters(weight: Weight) -> Letters:
    """The shipped font of one weight.

    Args:
        weight: Its weight.

    Raises:
        FileTrouble: The file is missing or damaged.
    """
    path = resources() / "fonts" / FILES[weight]
    try:
        return Letters(path.read_bytes())
    except OSError as trouble:
        raise FileTrouble("the font that comes with the program is missing", where=str(path),
                          remedy="install the program again") from trouble


def _glyphs(content: bytes, at: int) -> dict[int, int]:
    """Character to glyph number, from the Unicode table of format 4."""
    for number in range(struct.unpack_from(">H", content, at + 2)[0]):
        platform, kind, offset = struct.unpack_from(">HHI", content, at + 4 + 8 * number)
        if (platform, kind) == (3, 1) and struct.unpack_from(">H", content, at + offset)[0] == 4:
            return _segments(content, at + offset)
    raise ValueError("no Unicode table")


def _segments(content: bytes, at: int) -> dict[int, int]:
    count = struct.unpack_from(">H", content, at + 6)[0] // 2
    form = f">{count}H"
    ends = struct.unpack_from(form, content, at + 14)
    starts = struct.unpack_from(form, content, at + 16 + 2 * count)
    deltas = struct.unpack_from(form, content, at + 16 + 4 * count)
    offsets_at = at + 16 + 6 * count
    offsets = struct.unpack_from(form, content, offsets_at)
    glyphs = {}
    for k, (start, end, delta, offset) in enumerate(zip(starts, ends, deltas, offsets, strict=True)):
        for code in range(start, end + 1):
            glyph = code
            if offset:
                glyph = struct.unpack_from(">H", content, offsets_at + 2 * k + offset + 2 * (code - start))[0]
                if glyph == 0:
                    continue
            if (glyph + delta) % 65536:
                glyphs[code] = (glyph + delta) % 65536
    return glyphs
