"""What the fields of a row say: its name, its feature code, its width, its accuracy class.

A field is recognised by its name, letters only and in any case. **Name**: name, label, title, id, point, number and
their like. **Code**: the first non-empty of code, fcode, feature_code, kind, type, class, category; failing that, a
word of the trade in desc, description, comment, symbol or name. **Width**: width, width_m, span, span_m, gate_width,
or those ending in _mm; failing that, a figure followed by m in the name of a gate or crossing ("Gate 4.2 m").
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from functools import lru_cache

import numpy as np

from planner.survey.fixes import Accuracy
from planner.units import Metre

NAME_FIELDS = (
    "name",
    "label",
    "title",
    "paddock",
    "fieldname",
    "linename",
    "point",
    "pointid",
    "pt",
    "ptid",
    "station",
    "number",
    "no",
    "id",
    "fid",
    "objectid",
    "localid",
    "gmlid",
)
CODE_FIELDS = ("code", "fcode", "featurecode", "kind", "type", "class", "category", "feature")
WORD_FIELDS = ("desc", "description", "comment", "cmt", "note", "notes", "sym", "symbol", "name", "label", "text")
WIDTH_FIELDS = ("width", "widthm", "span", "spanm", "gatewidth", "opening", "widthmm", "spanmm")
ACCURACY_FIELDS = ("accuracy", "accuracyclass", "quality")
_CLASSES: dict[str, Accuracy] = {
    "survey": "survey",
    "surveyed": "survey",
    "total station": "survey",
    "rtk": "rtk",
    "dgnss": "dgnss",
    "dgps": "dgnss",
    "handheld": "handheld",
    "gps": "handheld",
    "traced": "traced",
    "digitised": "traced",
    "digitized": "traced",
    "unknown": "unknown",
}
_WORDS: tuple[tuple[str, str], ...] = (
    (r"flood\s*-?gates?", "crossing"),
    (r"gates?|gateway", "gate"),
    (r"crossing|ford|creek|stream|drain|culvert|waterway", "crossing"),
    (r"strainer|end\s*post|corner\s*post", "strainer"),
    (r"spot\s*(level|height)|ground|gs|sl", "ground"),
)
_IDENTIFIER = re.compile(r"(?=(?:\D*\d){4})[\w.{}:-]{32,}")
"""What nobody reads as a word of a name; the common identifiers have 32 hexadecimal digits or more."""
_NUMBER = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?")
_WIDTH_IN_NAME = re.compile(r"(?<![\w.,])(\d{1,3}(?:[.,]\d+)?)\s*m\b", re.IGNORECASE)


def plain(field: str) -> str:
    """A field's name with only its letters and digits, in small letters.

    Args:
        field: Name as written, such as ``Width (m)``.

    Example:
        >>> plain("Width (m)")
        'widthm'
    """
    return "".join(c for c in field.casefold() if c.isalnum())


def number_in(text: str) -> tuple[float, bool] | None:
    """The number a text holds, and whether it was written with a decimal comma.

    Args:
        text: One number, with nothing but blanks around it.

    Returns:
        The number and True for a comma; None when the text is not one finite number.

    Example:
        >>> number_in("3,6"), number_in(" 3.6 "), number_in("3.6 m")
        ((3.6, True), (3.6, False), None)
    """
    text = text.strip().replace("\u2212", "-")
    if not _NUMBER.fullmatch(text):
        return None
    value = float(text.replace(",", "."))
    return (value, "," in text) if math.isfinite(value) else None


def as_text(value: object) -> str:
    """A field's value for a person to read; empty when the field holds nothing.

    Args:
        value: Whatever the file's reader gave: text, number, date or None.
    """
    if value is None or (isinstance(value, float | np.floating) and math.isnan(value)):
        return ""
    if isinstance(value, np.datetime64):
        return "" if np.isnat(value) else str(value)
    if isinstance(value, float | np.floating):
        return f"{float(value):.15g}"
    if isinstance(value, bytes):
        return f"{len(value)} bytes"
    return str(value).strip()


def _first(fields: Mapping[str, str], names: tuple[str, ...]) -> str:
    return next((fields[name] for name in names if fields.get(name)), "")


def name_in(fields: Mapping[str, str]) -> str:
    """The name a row gives itself; empty when it gives none that a person can say.

    An identifier of a register, such as ``7f3c...`` of 32 letters and more, is no name: nobody finds it again on a
    sheet.

    Args:
        fields: Texts by plain field name.

    Example:
        >>> name_in({"name": "House paddock"}), name_in({"name": "id " + "7f3c" * 10, "no": "12"})
        ('House paddock', '12')
        >>> name_in({"name": "Grenzzaun-hinter-dem-alten-Schuppen"})
        'Grenzzaun-hinter-dem-alten-Schuppen'
    """
    named = (" ".join(fields.get(field, "").split()) for field in NAME_FIELDS)
    return next((name for name in named if name and not any(map(_IDENTIFIER.fullmatch, name.split()))), "")[:80]


def code_in(fields: Mapping[str, str]) -> str:
    """The feature code of a row, in small letters; empty when nothing tells.

    Args:
        fields: Texts by plain field name.

    Example:
        >>> code_in({"code": "GATE 12"}), code_in({"name": "creek crossing 2"}), code_in({"code": "BM"})
        ('gate', 'crossing', 'bm')
    """
    given = _first(fields, CODE_FIELDS)
    if given:
        return _word_of_the_trade(given) or given.strip().casefold()
    return next((word for name in WORD_FIELDS if (word := _word_of_the_trade(fields.get(name, "")))), "")


@lru_cache(maxsize=4096)
def _word_of_the_trade(text: str) -> str:
    text = re.sub(r"[_\d]+", " ", text)
    return next((code for words, code in _WORDS if re.search(rf"\b(?:{words})\b", text, re.IGNORECASE)), "")


def width_in(fields: Mapping[str, str], code: str) -> tuple[Metre | None, str]:
    """Width of a gate or span of a crossing, and what was odd about the text.

    Args:
        fields: Texts by plain field name.
        code: Feature code of the row; a width is looked for in the name only for a gate or a crossing.

    Returns:
        Width, None when none is given [m]; and the text when it is no width above zero or has a decimal comma.
    """
    for name in WIDTH_FIELDS:
        text = fields.get(name, "")
        if not text:
            continue
        found = number_in(re.sub(r"\s*mm?$", "", text.strip()))
        if found is None or found[0] < 0:
            return None, text
        millimetres = name.endswith("mm") or text.strip().endswith("mm")
        width = found[0] / 1000.0 if millimetres else found[0]
        return (width or None), (text if found[1] else "")
    if code in ("gate", "crossing"):
        for name in WORD_FIELDS:
            if match := _WIDTH_IN_NAME.search(fields.get(name, "")):
                return float(match[1].replace(",", ".")) or None, ""
    return None, ""


def accuracy_in(fields: Mapping[str, str], otherwise: Accuracy) -> Accuracy:
    """Accuracy class that a row states, or the one its kind of file suggests.

    Args:
        fields: Texts by plain field name.
        otherwise: Class that the kind of file suggests.
    """
    return _CLASSES.get(_first(fields, ACCURACY_FIELDS).strip().casefold(), otherwise)
