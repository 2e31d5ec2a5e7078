"""Shapefiles with a companion missing: mended on a copy, never in the user's folder."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from planner.errors import FileTrouble
from planner.files.readers.closed_doors import OPTIONS
from planner.files.readers.overheard import overheard
from planner.files.readers.rules import Troubles
from planner.files.readers.staging import companion, staged
from planner.survey.coordinate_systems import file_wanted

COMPANIONS = (".shx", ".dbf", ".prj", ".cpg")
_UNTOLD = (0x00, 0x57)


@contextmanager
def sound_shapefile(path: Path, troubles: Troubles, without: tuple[str, ...] = ()) -> Iterator[Path]:
    """A path under which the shapefile opens, with its index restored on a copy when it is missing.

    Args:
        path: The ``.shp`` file.
        troubles: Where a restored index or missing companion is noted.
        without: Companions to do without, because the file does not open with them.

    Raises:
        FileTrouble: The index is missing and cannot be restored.
    """
    if (beside := companion(path, ".prj")) is not None and file_wanted(_text_of(beside)):
        without = (*without, ".prj")  # the library would open what it names; the text itself is judged elsewhere
    for ending, part in ((".dbf", "names and fields"), (".prj", "the coordinate system")):
        if ending in without:
            what = f"the file of {part} ({ending}) is damaged; shapes are read without it."
            troubles.add("survey-58", what, severity="error")
        elif ending == ".dbf" and companion(path, ending) is None:
            troubles.add("survey-58", f"the file of {part} ({ending}) is missing; shapes are read without it.")
    if ".dbf" not in without and not _has_fields(path):
        troubles.add("survey-58", "the file of names and fields (.dbf) is damaged and gives none.", severity="error")
    indexed = ".shx" not in without and companion(path, ".shx") is not None
    with staged(path, ".shp", always=bool(without) or not indexed, also=_others(without)) as copy:
        if not indexed:
            _restore_index(copy, path)
            state = "damaged" if ".shx" in without else "missing"
            troubles.add("survey-58", f"the index file (.shx) is {state}; it was restored on a copy.")
        yield copy


def _has_fields(path: Path) -> bool:
    """False when a table is there whose head cannot be that of a table with fields."""
    table = companion(path, ".dbf")
    if table is None:
        return True
    with table.open("rb") as stream:
        head = stream.read(33)
    return len(head) == 33 and int.from_bytes(head[8:10], "little") > 33 and int.from_bytes(head[10:12], "little") > 1


def _others(without: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(ending for ending in COMPANIONS if ending not in without)


def damage_to_try(path: Path) -> tuple[tuple[str, ...], ...]:
    """Companions to do without, one set after another, for a shapefile that does not open with all of them.

    Args:
        path: The ``.shp`` file.
    """
    there = [ending for ending in (".prj", ".shx", ".dbf") if companion(path, ending) is not None]
    return tuple([*((ending,) for ending in there), tuple(there)] if len(there) > 1 else [(e,) for e in there])


def _restore_index(copy: Path, path: Path) -> None:
    import fiona
    from fiona._err import CPLE_BaseError
    from fiona.errors import FionaError

    try:
        with (
            overheard("fiona"),
            fiona.Env(**OPTIONS, SHAPE_RESTORE_SHX="YES"),
            fiona.open(copy, enabled_drivers=["ESRI Shapefile"]),
        ):
            pass
    except (FionaError, CPLE_BaseError, OSError) as error:
        raise FileTrouble(
            f"has no index file (.shx) and it cannot be restored: {' '.join(str(error).split())[:120]}",
            where=str(path),
            remedy="copy the .shx file with the .shp file",
        ) from None


def encodings(path: Path) -> tuple[str | None, ...]:
    """Encodings to try on the fields of a shapefile, best first; None leaves the choice to what the file states.

    A file that states its letters (a ``.cpg`` file, or a language mark in its ``.dbf``) is believed first. Otherwise
    UTF-8 is tried strictly, then CP1252, which has a few bytes without a meaning, then ISO 8859-1, which has none.

    Args:
        path: The ``.shp`` file.
    """
    guesses = ("UTF-8", "CP1252", "ISO-8859-1")
    if companion(path, ".cpg") is not None:
        return (None, *guesses)
    table = companion(path, ".dbf")
    if table is None:
        return (None,)
    with table.open("rb") as stream:
        head = stream.read(32)
    return guesses if len(head) < 30 or head[29] in _UNTOLD else (None, *guesses)


def _text_of(path: Path) -> str:
    return path.read_bytes().decode("utf-8-sig", errors="replace").strip("\0 \t\r\n")


def stated_system(path: Path, troubles: Troubles) -> str:
    """The text of the ``.prj`` file; empty when there is none or it is blank.

    Args:
        path: The ``.shp`` file.
        troubles: Where a missing or blank file is noted.
    """
    beside = companion(path, ".prj")
    text = "" if beside is None else _text_of(beside)
    if not text:
        what = "there is no .prj file" if beside is None else "the .prj file is empty"
        troubles.add("survey-59", f"{what}, so the coordinate system is not stated.")
    return text
