"""The sample farm, planned once for all workflow tests."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pytest
from command_line import Ran, command


@dataclass(frozen=True)
class Demo:
    """What ``demo`` wrote and said."""

    folder: Path
    job: Path
    ran: Ran


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Demo:
    """The demo, run once; tests must not write into its folder."""
    folder = tmp_path_factory.mktemp("demo") / "pack"
    ran = command("demo", "--to", folder)
    return Demo(folder, folder / "sample-farm.job.gpkg", ran)
