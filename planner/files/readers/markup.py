"""Marked-up text from strangers: decoded, and rid of definitions, before any parser sees it."""

from __future__ import annotations

import codecs
import re
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from xml.etree import ElementTree
from xml.parsers import expat

import numpy as np

from planner.errors import FileTrouble
from planner.files.readers.rules import Troubles
from planner.geometry.arrays import Floats

_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
    (b"<\0", "utf-16-le"),
    (b"\0<", "utf-16-be"),
)
_PROLOGUE = re.compile(r"\s*<\?xml[^>]*?\?>")
_STATED = re.compile(r"encoding\s*=\s*[\"']([\w.:-]+)[\"']")
_QUOTED = r"\"[^\"]*+\"|'[^']*+'"
_DOCTYPE = re.compile(rf"<!DOCTYPE\b(?>[^\[>\"']|{_QUOTED})*+(?>\[(?>[^\]\"']|{_QUOTED})*+\]\s*+)?>", re.IGNORECASE)


def read_markup(path: Path, troubles: Troubles) -> str:
    """The text of a marked-up file without its prologue and without a document type definition.

    A definition is taken out unread, so that nothing in it is ever expanded or fetched; a file that then still uses a
    word it defined is refused by the parser.

    Args:
        path: File.
        troubles: Where a definition taken out or an odd encoding is noted.

    Raises:
        FileTrouble: The file cannot be read, or has a definition where none may stand.
    """
    text = decoded(path.read_bytes(), troubles, str(path))
    text = _PROLOGUE.sub("", text, count=1)
    found = _DOCTYPE.search(text)
    if found:
        text = text[: found.start()] + text[found.end() :]
        troubles.add("survey-68", "the file defines words of its own (a document type definition); taken out unread.")
    if re.search(r"<!(DOCTYPE|ENTITY)", text, re.IGNORECASE):
        raise FileTrouble(
            "has a document type definition that cannot be taken out safely",
            where=troubles.file,
            remedy="export the file again",
        )
    return text


def decoded(raw: bytes, troubles: Troubles, file: str) -> str:
    """Text from bytes: by its mark, by what it states, else UTF-8, else CP1252 with a finding.

    Args:
        raw: All bytes of the file.
        troubles: Where a guess is noted.
        file: Path, for the message.

    Raises:
        FileTrouble: The mark or the statement does not hold for the bytes.
    """
    named = next((name for mark, name in _MARKS if raw.startswith(mark)), "")
    if not named and raw.lstrip()[:5] == b"<?xml":
        stated = _STATED.search(raw[:200].decode("latin-1"))
        named = stated[1] if stated else ""
    try:
        return raw.decode(named or "utf-8")
    except (UnicodeDecodeError, LookupError):
        pass
    text = raw.decode("cp1252", errors="replace")
    if "\0" in text:
        raise FileTrouble("is not text", where=file, remedy="check that it is the right file")
    troubles.add("survey-57", f"the letters are not written in {named or 'UTF-8'}; read as Western European (CP1252).")
    return text


def local(tag: object) -> str:
    """The name of an element without its namespace; empty for comments.

    Args:
        tag: Tag as the parser gives it.
    """
    return tag.rpartition("}")[2] if isinstance(tag, str) else ""


def tree_of(text: str) -> tuple[ElementTree.Element | None, str]:
    """The tree of a text, as far as it can be read, and why no farther.

    Args:
        text: Text without prologue and definitions.

    Returns:
        Root, None when not even its start can be read; and the parser's reason, empty when all was read.
    """
    raw = text.encode("utf-8")  # bytes, so that the parser counts lines and columns as a person does
    with suppress(ElementTree.ParseError):
        return ElementTree.fromstring(raw), ""
    parser: Any = ElementTree.XMLPullParser(events=("start",))
    reason = ""
    try:
        parser.feed(raw)
        parser.close()
    except ElementTree.ParseError as error:
        reason = str(error)
    try:
        root = next((element for _, element in parser.read_events()), None)
    except ElementTree.ParseError:
        root = None
    return root, reason


def closed_early(text: str, last: tuple[str, ...]) -> tuple[str, int]:
    """A text that breaks off, cut behind the last whole element of a kind, with all that is open closed.

    Args:
        text: Text without prologue and definitions.
        last: Names of the elements behind which it may be cut, without their prefix.

    Returns:
        The shortened text and how many such elements are whole; an empty text and 0 when none is.
    """
    raw = text.encode("utf-8")
    parser = expat.ParserCreate("utf-8")
    opened: list[str] = []
    whole: list[tuple[int, list[str]]] = []

    def end(name: str) -> None:
        opened.pop()
        if name.rpartition(":")[2] in last:
            whole.append((parser.CurrentByteIndex, list(opened)))

    parser.StartElementHandler = lambda name, _: opened.append(name)
    parser.EndElementHandler = end
    with suppress(expat.ExpatError):
        parser.Parse(raw, True)
    if not whole:
        return "", 0
    cut = raw.index(b">", whole[-1][0]) + 1
    closing = "".join(f"</{name}>" for name in reversed(whole[-1][1]))
    return raw[:cut].decode("utf-8") + closing, len(whole)


def seconds(text: str) -> float:
    """Seconds since 1970 UTC of a time stamp; a stamp without a zone is taken as UTC; NaN when it is none. [s]

    Args:
        text: Time stamp as ISO 8601 writes it.

    Example:
        >>> seconds("2024-03-01T12:03:05+10:00") == seconds("2024-03-01T02:03:05Z")
        True
    """
    try:
        stamp = datetime.fromisoformat(text.strip())
    except ValueError:
        return float("nan")
    return (stamp if stamp.tzinfo else stamp.replace(tzinfo=UTC)).timestamp()


def walked_times(text: str) -> dict[tuple[int, bytes], Floats]:
    """Times of the tracks in a KML text, by number of corners and the bytes of their positions.

    Args:
        text: KML text.
    """
    root, _ = tree_of(text) if "Track" in text else (None, "")
    if root is None:
        return {}
    found = {}
    for track in root.iter():
        if local(track.tag) != "Track":
            continue
        stamps = [seconds(e.text or "") for e in track if local(e.tag) == "when"]
        places = [(e.text or "").split()[:2] for e in track if local(e.tag) == "coord"]
        try:
            xy = np.array([[float(p) for p in place] for place in places])
        except ValueError:
            continue
        if xy.shape == (len(stamps), 2):
            found[len(xy), xy.tobytes()] = np.array(stamps)
    return found
