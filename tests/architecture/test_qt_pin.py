"""PySide6 6.12.0 under Python 3.11 loses a reference to None on every call that returns nothing, then aborts."""

from __future__ import annotations

import sys

import pytest


def test_none_keeps_its_references() -> None:
    core = pytest.importorskip("PySide6.QtCore", reason="Qt is blocked or not installed here")
    thing = core.QObject()
    before = sys.getrefcount(None)
    for _ in range(100):
        thing.setObjectName("post")
    assert sys.getrefcount(None) >= before - 20  # a falling count falls by 100; other threads may move it by a few
