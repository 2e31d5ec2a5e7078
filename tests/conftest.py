"""What all tests share."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from pathlib import Path

import hypothesis
import pytest

from planner.findings import Finding
from tests.rule_marks import shown

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


@pytest.fixture(autouse=True)
def _holds_its_mark_of_rules(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A test marked with ``rules`` makes findings of those it says fire, waived ones of those it says are set aside,
    and none of those that only stay silent. Of a test with a parameter ``rule``, that rule alone is looked at."""
    mark = request.node.get_closest_marker("rules")
    if mark is None:
        yield
        return
    made: set[str] = set()
    waived: set[str] = set()
    make = Finding.__init__

    def noted(finding: Finding, *given: object, **named: object) -> None:
        make(finding, *given, **named)  # type: ignore[arg-type]
        (waived if finding.waived else made).add(finding.rule)

    monkeypatch.setattr(Finding, "__init__", noted)
    yield
    said = shown(mark.kwargs, getattr(request.node, "callspec", None))
    fires = said["fires"] | said["limit"]
    assert fires - made == set(), "said to fire, and did not"
    assert said["aside"] - waived == set(), "said to be set aside, and was not"
    assert (said["silent"] - fires) & made == set(), "said to be silent, and fired"


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--block-qt", action="store_true", help="run as on a machine without Qt")


def pytest_configure(config: pytest.Config) -> None:
    if config.getoption("--block-qt"):
        sys.modules["PySide6"] = None  # type: ignore[assignment] - importing it now raises ImportError


collect_ignore = ["bench", "make_sample_data.py", "take_pictures.py"]  # run by hand, not by the test run
