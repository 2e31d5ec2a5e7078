"""Zip archives: looked through before anything is unpacked, and only what can be read is unpacked."""

from __future__ import annotations

import lzma
import stat
import tempfile
import zipfile
import zlib
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path, PurePosixPath

from planner.errors import FileTrouble, PlannerError
from planner.files.readers.file_kinds import ENDINGS
from planner.files.readers.gathering import gathered
from planner.files.readers.rules import Troubles
from planner.files.readers.shapefile_repair import COMPANIONS
from planner.progress import Part, Progress
from planner.survey.fixes import Reading
from planner.wording import few_of

LARGEST_BYTES = 4 * 2**30
MOST_MEMBERS = 10_000
GREATEST_RATIO = 200
_RATIO_MATTERS_FROM = 50 * 2**20
_BLOCK = 2**20
_DAMAGE = (
    zipfile.BadZipFile,
    zlib.error,
    lzma.LZMAError,
    OSError,
    RuntimeError,
    NotImplementedError,
    ValueError,
    EOFError,
)
_OFTEN_WORDS = (".txt", ".xml", ".json")

ReadOne = Callable[[Path, Mapping[str, str], Progress], Reading]


def read_archive(path: Path, choices: Mapping[str, str], progress: Progress, read_one: ReadOne) -> Reading:
    """All sources in a zip archive, one reading for all.

    Args:
        path: The archive.
        choices: Handed on to the readers of the members.
        progress: Who waits.
        read_one: Reads one unpacked member.

    Raises:
        FileTrouble: The archive is damaged, dangerous or holds nothing that can be read.
    """
    troubles = Troubles(str(path))
    with tempfile.TemporaryDirectory(prefix="strainwright-") as folder:
        try:
            with zipfile.ZipFile(path) as archive:
                unpacked = _unpacked(archive, Path(folder), path, troubles)
        except _DAMAGE as error:
            raise FileTrouble(
                f"cannot be unpacked: {error}", where=str(path), remedy="copy or zip it again, without a password"
            ) from None
        if not unpacked:
            why = next((f": {f.message.rstrip('.')}" for f in troubles.findings() if f.rule == "survey-55"), "")
            raise FileTrouble(
                f"holds no file that can be read{why}",
                where=str(path),
                remedy=f"zip one of {', '.join(sorted(ENDINGS))}",
            )
        readings = []
        for i, (name, copy) in enumerate(unpacked):
            part = Part(progress, i / len(unpacked), (i + 1) / len(unpacked))
            reading = _read_member(name, copy, path, choices, part, read_one, troubles, alone=len(unpacked) == 1)
            if reading is not None:
                readings.append((name, reading))
    return gathered(str(path), readings, troubles)


def _read_member(
    name: str,
    copy: Path,
    path: Path,
    choices: Mapping[str, str],
    progress: Progress,
    read_one: ReadOne,
    troubles: Troubles,
    *,
    alone: bool,
) -> Reading | None:
    try:
        reading = read_one(copy, choices, progress)
    except PlannerError as trouble:
        what = trouble.what.replace(str(copy), name)
        if alone:
            raise FileTrouble(f"its member {name} {what}", where=str(path), remedy=trouble.remedy) from None
        rule = "survey-60" if copy.suffix in _OFTEN_WORDS else "survey-55"
        troubles.add(
            rule,
            f"the member {name} cannot be read: {what}.",
            remedy=f"{trouble.remedy[:1].upper()}{trouble.remedy[1:]}.",
        )
        return None
    return _renamed(reading, str(path), name, str(copy))


def _renamed(reading: Reading, file: str, member: str, copy: str) -> Reading:
    """The same reading, told of the archive instead of the unpacked copy."""
    found = tuple(
        replace(f, message=f"{member}: {f.message.replace(copy, member)}", place=replace(f.place, file=file))
        for f in reading.troubles
    )
    return replace(
        reading,
        file=file,
        lines=tuple(replace(line, file=file) for line in reading.lines),
        points=tuple(replace(point, file=file) for point in reading.points),
        troubles=found,
    )


def _unpacked(archive: zipfile.ZipFile, folder: Path, path: Path, troubles: Troubles) -> list[tuple[str, Path]]:
    members = [m for m in archive.infolist() if m.filename and not m.is_dir()]
    _refuse_dangerous(members, path)
    sets: dict[tuple[str, str], Path] = {}
    found: list[tuple[str, Path]] = []
    skipped: list[str] = []
    shapes = {
        (str(p.parent), p.stem.casefold()) for m in members if (p := PurePosixPath(m.filename)).suffix.lower() == ".shp"
    }
    for member in members:
        inner = PurePosixPath(member.filename)
        ending = inner.suffix.lower()
        if (
            inner.name.startswith((".", "._"))
            or "__MACOSX" in inner.parts
            or ending == ".zip"
            or (ending not in ENDINGS and ending not in COMPANIONS)
        ):
            skipped.append(member.filename)
            continue
        place = sets.setdefault((str(inner.parent), inner.stem.casefold()), folder / str(len(sets)))
        place.mkdir(exist_ok=True)
        copy = place / f"{_plain(inner.stem)}{ending}"
        try:
            _unpack(archive, member, copy)
        except _DAMAGE as error:
            copy.unlink(missing_ok=True)
            troubles.add(
                "survey-55", f"the member {member.filename} cannot be unpacked: {error}.", remedy="Zip it again."
            )
            continue
        if ending in ENDINGS:
            found.append((member.filename, copy))
        elif (str(inner.parent), inner.stem.casefold()) not in shapes:
            skipped.append(member.filename)
    if skipped:
        troubles.add("survey-60", f"{len(skipped)} members of the archive are not read: {few_of(skipped, most=10)}.")
    return found


def _plain(stem: str) -> str:
    return (
        "".join(c if c.isalnum() or c in " -_." else "_" for c in stem).replace(".zip", "_zip").strip(" .")[:80]
        or "member"
    )


def _refuse_dangerous(members: list[zipfile.ZipInfo], path: Path) -> None:
    def refuse(what: str) -> FileTrouble:
        return FileTrouble(what, where=str(path), remedy="unpack it yourself and give the files in it")

    if len(members) > MOST_MEMBERS:
        raise refuse(f"holds {len(members)} files")
    for member in members:
        name = member.filename.replace("\\", "/")
        if name.startswith("/") or ".." in name.split("/") or ":" in name.split("/")[0]:
            raise refuse(f"holds a file that wants to be unpacked elsewhere ({member.filename!r})")
        if stat.S_ISLNK(member.external_attr >> 16):
            raise refuse(f"holds a link to another place ({member.filename!r})")
        if member.flag_bits & 1:
            raise refuse("is locked with a password")
        if member.file_size > _RATIO_MATTERS_FROM and member.file_size > GREATEST_RATIO * max(member.compress_size, 1):
            raise refuse(f"holds a file that grows out of all proportion ({member.filename!r})")
    if sum(m.file_size for m in members) > LARGEST_BYTES:
        raise refuse("is too large when unpacked")


def _unpack(archive: zipfile.ZipFile, member: zipfile.ZipInfo, copy: Path) -> None:
    left = member.file_size
    with archive.open(member) as packed, copy.open("wb") as plain:
        while block := packed.read(_BLOCK):
            left -= len(block)
            if left < 0:
                raise zipfile.BadZipFile("it is larger than the archive says")
            plain.write(block)
