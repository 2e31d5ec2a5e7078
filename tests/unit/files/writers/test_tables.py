from __future__ import annotations

import csv
from decimal import Decimal
from pathlib import Path

import pytest

from planner.files.writers.tables import plain_cell, write_csv


@pytest.mark.parametrize(
    "text", ["=1+1", "+cmd|' /C calc'!A0", "-2+3", "@SUM(A1)", "\t=1", "\r=1", "=", "-", "--5", "+ 5"])
def test_a_cell_that_a_spreadsheet_would_run_is_marked_as_text(text: str):
    assert plain_cell(text) == "'" + text


@pytest.mark.parametrize(
    "value", ["-2.5", "+3", "-1e5", "gate", "a=b", "", "A-0001", " =1", -2.5, 3, None, Decimal("-1.50")])
def test_numbers_and_plain_words_stay_as_they_are(value: object):
    assert plain_cell(value) == value
    assert type(plain_cell(value)) is type(value)


def test_a_table_is_read_back_cell_by_cell(tmp_path: Path):
    target = tmp_path / "t.csv"
    write_csv(target, ("name", "note"), [("Zaun „Süd“", "a,b"), ('say "x"', "two\nlines"), ("=HYPERLINK(1)", "-4.0")])
    raw = target.read_bytes()
    assert raw.startswith(b"\xef\xbb\xbfname,note\r\n")
    with target.open(encoding="utf-8-sig", newline="") as file:
        assert list(csv.reader(file)) == [["name", "note"], ["Zaun „Süd“", "a,b"], ['say "x"', "two\nlines"],
                                          ["'=HYPERLINK(1)", "-4.0"]]
