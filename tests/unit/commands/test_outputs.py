"""A machine that cannot draw still gets every other file of the job pack."""

from __future__ import annotations

import sys

import pytest

from planner.commands.outputs import DRAWN, all_outputs
from planner.errors import FileTrouble
from planner.jobpack.register import OUTPUTS


def forget_render(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in [n for n in sys.modules if n.split(".")[0] == "PySide6" or n.startswith("planner.render")]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.setitem(sys.modules, "PySide6", None)


def test_a_machine_that_draws_has_the_sheets_too() -> None:
    pytest.importorskip("PySide6.QtGui", reason="no Qt on this machine")
    outputs, left_out = all_outputs()
    assert [output.name for output in outputs] == [*(o.name for o in OUTPUTS), *DRAWN]
    assert left_out == ""


def test_without_qt_the_other_files_are_there_and_one_sentence_says_what_is_not(
        monkeypatch: pytest.MonkeyPatch) -> None:
    forget_render(monkeypatch)
    outputs, left_out = all_outputs()
    assert outputs == OUTPUTS
    assert left_out.startswith("The sheets (job-pack.pdf, straining-sheet.pdf, quote.pdf, ")
    assert "were left out" in left_out
    assert left_out.count(".") >= 1
    assert left_out.endswith("install PySide6-Essentials.")


def test_a_sheet_asked_for_by_name_is_refused_there(monkeypatch: pytest.MonkeyPatch) -> None:
    forget_render(monkeypatch)
    with pytest.raises(FileTrouble, match=r"job-pack\.pdf: this machine has nothing to draw it with"):
        all_outputs(asked=["job-pack.pdf"])
