"""What all tests share."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import hypothesis
import pytest

# The same examples every time, however busy the machine is; STRAINWRIGHT_RANDOM=1 looks for new ones.
hypothesis.settings.register_profile("house", deadline=None, derandomize="STRAINWRIGHT_RANDOM" not in os.environ)
hypothesis.settings.load_profile("house")
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")


@pytest.fixture(scope="session")
def open_data() -> Path:
    """The folder of open data: beside the checkout, or where STRAINWRIGHT_OPEN_DATA says. Read in place."""
    named = os.environ.get("STRAINWRIGHT_OPEN_DATA")
    folder = Path(named) if named else Path(__file__).resolve().parents[2] / "shared" / "data"
    if not folder.is_dir():
        pytest.skip(f"the open data folder {folder} is not here; set STRAINWRIGHT_OPEN_DATA to use another")
    return folder


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--block-qt", action="store_true", help="run as on a machine without Qt")


def pytest_configure(config: pytest.Config) -> None:
    if config.getoption("--block-qt"):
        sys.modules["PySide6"] = None  # type: ignore[assignment] - importing it now raises ImportError


collect_ignore = ["bench", "make_sample_data.py", "take_pictures.py"]  # run by hand, not by the test run
