"""What all tests share."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")


@pytest.fixture(scope="session")
def open_data() -> Path:
    """The folder of open data: beside the checkout, or where STRAINWRIGHT_OPEN_DATA says. Read in place."""
    named = os.environ.get("STRAINWRIGHT_OPEN_DATA")
    folder = Path(named) if named else Path(__file__).resolve().parents[2] / "shared" / "data"
    if not folder.is_dir():
        pytest.skip(f"the open data folder {folder} is not here; set STRAINWRIGHT_OPEN_DATA to use another")
    return folder
