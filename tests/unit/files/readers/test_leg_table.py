"""Files of legs, whatever they were saved by."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.errors import FileTrouble
from planner.files.readers.leg_table import read_legs


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252"])
def test_encodings(tmp_path: Path, encoding: str) -> None:
    path = tmp_path / "legs.csv"
    path.write_bytes("bearing;distance\r\n92°14'20\";412,36\r\n".encode(encoding))
    (leg,) = read_legs(path).legs
    assert (round(leg.bearing_deg or 0.0, 6), leg.distance_m, leg.row) == (92.238889, 412.36, 2)


def test_findings_name_the_file(tmp_path: Path) -> None:
    path = tmp_path / "legs.csv"
    path.write_text("90,100\n90,x\n")
    (finding,) = read_legs(path).findings
    assert (finding.place.file, finding.place.row) == (str(path), 2)


def test_what_is_no_text_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "legs.csv"
    path.write_bytes(b"PK\x03\x04\x00")
    with pytest.raises(FileTrouble, match="this is no text"):
        read_legs(path)


def test_what_is_missing_is_named(tmp_path: Path) -> None:
    with pytest.raises(FileTrouble, match="cannot be read: No such file"):
        read_legs(tmp_path / "none.csv")
