"""Commands run in this process, and small files to run them on."""

from __future__ import annotations

import contextlib
import io
import json
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from planner.cli import run

GRID = "EPSG:7855"
EAST, NORTH = 500_000.0, 6_000_000.0


@dataclass(frozen=True)
class Ran:
    """What one command gave.

    Attributes:
        status: Exit status.
        out: Standard output.
        err: Standard error.
    """

    status: int
    out: str
    err: str

    @property
    def rules(self) -> set[str]:
        """Rules of the findings told on standard output."""
        return set(re.findall(r"^(?:ERROR|look|note|waived)\s+([a-z]+-\d+)", self.out, flags=re.MULTILINE))

    def one_sentence(self) -> str:
        """The sentence on standard error; fails where there is anything but one line of text."""
        assert "Traceback" not in self.err + self.out
        assert "a fault in the program" not in self.err
        (line,) = self.err.strip().splitlines()
        assert line.startswith("strainwright")
        assert line.endswith(".")
        return line


def command(*words: object) -> Ran:
    """Runs one command and fails where it ended in a fault of the program."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        status = run([str(word) for word in words])
    assert "a fault in the program" not in err.getvalue(), err.getvalue()
    return Ran(status, out.getvalue(), err.getvalue())


def write_lines(path: Path, lines: dict[str, Sequence[Sequence[float]]], *, crs: str | None = GRID) -> Path:
    """A GeoJSON file of lines in a grid; corners are east and north beyond (500 000, 6 000 000), and level if given."""
    features = [{"type": "Feature", "properties": {"name": name}, "geometry": {
        "type": "LineString", "coordinates": [[EAST + c[0], NORTH + c[1], *c[2:]] for c in corners]}}
        for name, corners in lines.items()]
    whole: dict[str, Any] = {"type": "FeatureCollection", "features": features}
    if crs:
        whole["crs"] = {"type": "name", "properties": {"name": f"urn:ogc:def:crs:EPSG::{crs.removeprefix('EPSG:')}"}}
    path.write_text(json.dumps(whole), encoding="utf-8")
    return path
