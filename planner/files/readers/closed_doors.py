"""What the libraries that open files are told before they see a stranger's: no address is asked, no other file opened.

A file can name others: a shift file in its coordinate system, a schema, a linked coordinate system, a command. The
options below close what can be closed by an option; what cannot is looked for in the file before it is opened.
"""

from __future__ import annotations

import json
import mmap
import re
from collections.abc import Iterator
from pathlib import Path

from planner.survey.coordinate_systems import file_wanted

OPTIONS = {
    "GML_DOWNLOAD_SCHEMA": "NO",
    "GML_SKIP_RESOLVE_ELEMS": "ALL",
    "GML_USE_SCHEMA_IMPORT": "NO",
    "GDAL_VRT_ENABLE_PYTHON": "NO",
    "GDAL_VRT_ENABLE_RAWRASTERBAND": "NO",
    "OGR_SQLITE_ALLOW_EXTERNAL_ACCESS": "NO",
    "OGR_SQLITE_LOAD_EXTENSIONS": "",
    "CPL_VSIL_CURL_ALLOWED_EXTENSIONS": "{none}",
    "GDAL_HTTP_MAX_RETRY": "0",
}
"""Configuration of the library under the readers; it goes before environment variables of the same names."""

_COMMAND = b"gdal_streamed_alg"
_END = 2**20
_SHIFT_WORDS = (b"grids=", b"GRIDS", b"PARAMETERFILE", b"init=", b"+file=")
_LARGEST_SYSTEM = 65_536


def _spelt(word: str) -> bytes:
    """A pattern of a word of JSON, any letter of which may be written by its number."""
    return b"".join(b"(?:%c|\\\\u00(?i:%02x))" % (letter, letter) for letter in word.encode())


_SYSTEM = re.compile(rb'"' + _spelt("crs") + rb'"\s*:\s*(?=\{)')


def file_of_a_system(path: Path) -> str:
    """A file that a coordinate system, stated in the first or last megabyte, names; empty when there is none.

    Args:
        path: A file, not empty.
    """
    with path.open("rb") as stream:
        ends = stream.read(_END)
        stream.seek(max(0, path.stat().st_size - _END))
        ends += stream.read(_END)
    if not any(word in ends for word in _SHIFT_WORDS):
        return ""
    return file_wanted(ends.decode("latin-1"))


def holds_a_command(path: Path) -> bool:
    """True when a JSON text could be taken for a command that streams other files.

    Args:
        path: A file, not empty.
    """
    with path.open("rb") as stream, mmap.mmap(stream.fileno(), 0, access=mmap.ACCESS_READ) as text:
        return text.find(_COMMAND) >= 0


def linked_systems(path: Path) -> list[tuple[int, int, str]]:
    """Coordinate systems of a GeoJSON text that stand at another place: where each begins and ends, and that place.

    Args:
        path: A file, not empty.
    """
    with path.open("rb") as stream, mmap.mmap(stream.fileno(), 0, access=mmap.ACCESS_READ) as text:
        return [found for match in _SYSTEM.finditer(text) for found in _linked(text, match.end())]


def without(path: Path, spans: list[tuple[int, int, str]]) -> None:
    """Writes ``null`` over parts of a JSON text.

    Args:
        path: A copy of our own.
        spans: Where each part begins and ends.
    """
    with path.open("r+b") as stream:
        for start, end, _ in spans:
            stream.seek(start)
            stream.write(b"null".ljust(end - start))


def _linked(text: mmap.mmap, start: int) -> Iterator[tuple[int, int, str]]:
    part = text[start:start + _LARGEST_SYSTEM].decode("utf-8", errors="replace")
    try:
        found, length = json.JSONDecoder().raw_decode(part)
    except (ValueError, RecursionError):
        return
    if str(found.get("type", "")).lower() in ("name", "epsg"):
        return
    facts = found.get("properties")
    place = next((str(v) for v in facts.values() if isinstance(v, str)), "") if isinstance(facts, dict) else ""
    yield start, start + len(part[:length].encode("utf-8")), place
