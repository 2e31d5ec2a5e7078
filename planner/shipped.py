"""Files that come with the program: found in a checkout and in an installed wheel alike."""

from __future__ import annotations

from pathlib import Path

from planner.errors import FileTrouble

_PACKAGE = Path(__file__).resolve().parent


def resources() -> Path:
    """The folder of fence types, item lists, schemas, fonts and pictures.

    Raises:
        FileTrouble: The program was installed without it.
    """
    return _shipped("resources")


def sample_data() -> Path:
    """The folder of the sample farm.

    Raises:
        FileTrouble: The program was installed without it.
    """
    return _shipped("sample_data")


def _shipped(name: str) -> Path:
    for folder in (_PACKAGE / f"_{name}", _PACKAGE.parent / name):
        if folder.is_dir():
            return folder
    raise FileTrouble(f"the folder '{name}' that comes with the program is missing", remedy="install the program again")
