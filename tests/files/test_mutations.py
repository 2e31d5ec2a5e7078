"""Mutated files, a few of each kind; ``tests/bench/mutations.py`` reads as many as wanted."""

from __future__ import annotations

from pathlib import Path

import pytest
from mutated import KINDS, tally

TRIES = {"shp": 15, "gml": 30, "kmz": 40, "zip": 40, "dxf": 40, "geojson": 40, "asc": 40, "tif": 60, "png": 60}


@pytest.mark.parametrize("kind", KINDS)
def test_each_is_read_or_refused_with_one_sentence(tmp_path: Path, kind: str) -> None:
    result = tally(tmp_path, kind, TRIES.get(kind, 100))
    assert not result.bugs
    assert result.found["read"] > 0
    assert result.tries > 10
    assert result.slowest_s < 10.0
