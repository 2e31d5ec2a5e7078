"""The catalogue: fence types, items, end assemblies and ground classes, read from data and checked on load."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from planner.errors import BadFenceType
from planner.shipped import resources
from planner.spec.end_assemblies import EndAssembly
from planner.spec.fence_type import FenceType
from planner.spec.ground_classes import GroundClass
from planner.spec.items import Item
from planner.spec.reading_fences import Stores, read_fence
from planner.spec.reading_items import read_assemblies, read_grounds, read_items
from planner.spec.tables import nearest, parse_toml

OWN_FOLDER_VARIABLE = "STRAINWRIGHT_FENCES"
_ITEMS, _ASSEMBLIES, _GROUNDS = "items.toml", "end_assemblies.toml", "ground_classes.toml"


@dataclass(frozen=True)
class Catalogue:
    """Everything a job may choose from.

    Attributes:
        fences: Fence types by key.
        items: Items by key.
        assemblies: End assemblies by key.
        grounds: Ground classes by key; ``soil`` is the one used where nothing is said.
    """

    fences: Mapping[str, FenceType]
    items: Mapping[str, Item]
    assemblies: Mapping[str, EndAssembly]
    grounds: Mapping[str, GroundClass]


@dataclass(frozen=True)
class _Shelf:
    """The catalogue files of one place, parsed but not yet checked: file name and tables."""

    items: tuple[tuple[str, Mapping[str, object]], ...] = ()
    assemblies: tuple[tuple[str, Mapping[str, object]], ...] = ()
    grounds: tuple[tuple[str, Mapping[str, object]], ...] = ()
    fences: tuple[tuple[str, str, Mapping[str, object]], ...] = ()


def load_catalogue(
    *, own_folder: Path | None = None, own_fences: Mapping[str, str] | None = None, own_items: str = "",
) -> Catalogue:
    """The shipped catalogue, with the user's own files and then the job's own texts standing before it.

    A later fence type, item, end assembly or ground class replaces an earlier one of the same key. The user's folder
    may hold one ``KEY.toml`` for each fence type, and ``items.toml``, ``end_assemblies.toml`` and
    ``ground_classes.toml`` laid out as the shipped ones.

    Args:
        own_folder: The user's folder; ``own_fence_folder()`` when None.
        own_fences: The job's own fence types, key to TOML text.
        own_items: The job's own items as TOML text.

    Raises:
        BadFenceType: A file or text breaks the rules of its kind; names file, table and field.
    """
    folder = _own_shelf(own_folder)
    job = _job_shelf(own_fences or {}, own_items)
    if folder == _Shelf() and job == _Shelf():
        return _shipped_catalogue()
    return _stack((_shipped_shelf(), folder, job))


def own_fence_folder() -> Path:
    """Where a user's own fence types are looked for.

    The folder that the environment variable ``STRAINWRIGHT_FENCES`` names; without it ``strainwright/fences`` under
    the platform's configuration folder: ``~/.config`` (or ``XDG_CONFIG_HOME``), ``%APPDATA%`` on Windows,
    ``~/Library/Application Support`` on macOS. It need not exist.
    """
    named = os.environ.get(OWN_FOLDER_VARIABLE)
    if named:
        return Path(named)
    if sys.platform == "win32":
        base = Path(os.environ.get("APPDATA") or Path.home() / "AppData" / "Roaming")
    elif sys.platform == "darwin":
        base = Path.home() / "Library" / "Application Support"
    else:
        base = Path(os.environ.get("XDG_CONFIG_HOME") or Path.home() / ".config")
    return base / "strainwright" / "fences"


def choose_fence(catalogue: Catalogue, key: str) -> FenceType:
    """The fence type of a key.

    Args:
        catalogue: Where to look.
        key: Key, such as ``general-mesh``.

    Raises:
        BadFenceType: There is none; names the nearest keys.
    """
    if key in catalogue.fences:
        return catalogue.fences[key]
    words = set(re.split(r"[^a-z0-9]+", key.lower()))
    shared = {k: len(words & set(k.split("-"))) for k in catalogue.fences}
    alike = sorted((k for k, n in shared.items() if n), key=lambda k: -shared[k])
    near = [k for k in (nearest(key.lower(), catalogue.fences), *alike) if k]
    remedy = f"did you mean {' or '.join(list(dict.fromkeys(near))[:3])}" if near else (
        f"use one of {', '.join(catalogue.fences)}")
    raise BadFenceType("there is no such fence type", where=f"fence '{key}'", remedy=remedy)


@lru_cache(maxsize=1)
def _shipped_shelf() -> _Shelf:
    return _read_shelf(resources(), resources() / "fences")


@lru_cache(maxsize=1)
def _shipped_catalogue() -> Catalogue:
    return _stack((_shipped_shelf(),))


def _job_shelf(fences: Mapping[str, str], items: str) -> _Shelf:
    def parsed(name: str, text: str) -> tuple[str, Mapping[str, object]]:
        file = f"the job's own {name}"
        return file, parse_toml(text, file=file)

    return _Shelf(items=(parsed(_ITEMS, items),) if items.strip() else (),
                  fences=tuple((key, *parsed(key, text)) for key, text in fences.items()))


def _own_shelf(folder: Path | None) -> _Shelf:
    chosen = folder if folder is not None else own_fence_folder()
    if chosen.is_dir():
        return _read_shelf(chosen, chosen)
    if folder is not None or os.environ.get(OWN_FOLDER_VARIABLE):
        raise BadFenceType("the folder of your own fence types is not there", where=str(chosen),
                           remedy=f"make it, or correct {OWN_FOLDER_VARIABLE}")
    return _Shelf()


def _read_shelf(lists: Path, fences: Path) -> _Shelf:
    def one(name: str) -> tuple[tuple[str, Mapping[str, object]], ...]:
        file = lists / name
        return ((name, _parse_file(file)),) if file.is_file() else ()

    types = sorted(f for f in fences.glob("*.toml") if f.name not in (_ITEMS, _ASSEMBLIES, _GROUNDS))
    return _Shelf(one(_ITEMS), one(_ASSEMBLIES), one(_GROUNDS), tuple((f.stem, f.name, _parse_file(f)) for f in types))


def _parse_file(file: Path) -> Mapping[str, object]:
    try:
        text = file.read_text(encoding="utf-8")
    except UnicodeDecodeError as trouble:
        raise BadFenceType("the file is not UTF-8 text", where=file.name, remedy="save it as UTF-8") from trouble
    except OSError as trouble:
        raise BadFenceType(f"the file cannot be read: {trouble.strerror}", where=str(file),
                           remedy="check that you may read it") from trouble
    return parse_toml(text, file=file.name)


def _stack(shelves: Iterable[_Shelf]) -> Catalogue:
    layers = tuple(shelves)
    items: dict[str, Item] = {}
    assemblies: dict[str, EndAssembly] = {}
    grounds: dict[str, GroundClass] = {}
    for shelf in layers:
        for file, values in shelf.items:
            items |= read_items(values, file=file)
    for shelf in layers:
        for file, values in shelf.assemblies:
            assemblies |= read_assemblies(values, items, file=file)
        for file, values in shelf.grounds:
            grounds |= read_grounds(values, file=file)
    chosen = {key: (file, values) for shelf in layers for key, file, values in shelf.fences}
    stores = Stores(items, assemblies)
    fences = {key: read_fence(key, values, stores, file=file) for key, (file, values) in sorted(chosen.items())}
    return Catalogue(fences, items, assemblies, grounds)
