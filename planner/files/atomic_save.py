"""Files appear whole or not at all."""

from __future__ import annotations

import glob
import os
import platform
import re
import secrets
import shutil
import zlib
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from planner.errors import FileTrouble

_HOST = f"{zlib.crc32(platform.node().encode()):08x}"
_DRAFT = re.compile(_HOST.join((r"\.", r"-(\d{1,10})-[0-9a-f]{8}-(.+)")))


@contextmanager
def whole_file(target: Path, *, keep_previous: bool = False) -> Iterator[Path]:
    """A path to write to, which takes the target's place only when the block ends well.

    The new content is written beside the target, forced to disk, and moved over it in one step; the folder is
    forced to disk after it. When the block fails, the target is as it was and nothing is left beside it.

    Args:
        target: Where the file shall stand. Its folder must exist.
        keep_previous: True to keep the file that stood there, as ``backup_of`` names it; one generation is kept.

    Yields:
        A path in the same folder, with the same ending.

    Raises:
        FileTrouble: The folder does not exist, is full or cannot be written to.
    """
    draft = target.with_name(f".{_HOST}-{os.getpid()}-{secrets.token_hex(4)}-{target.name}")
    try:
        _sweep(target)
        yield draft
        _force_to_disk(draft)
        if keep_previous:
            _keep(target)
        os.replace(draft, target)
        _force_to_disk(target.parent)
    except OSError as trouble:
        raise FileTrouble(f"it cannot be written ({trouble.strerror or trouble})", where=str(target),
                          remedy="choose a folder you may write to, with room on its disk") from trouble
    finally:
        with suppress(OSError):
            draft.unlink(missing_ok=True)


def write_text(target: Path, text: str | Iterable[str]) -> None:
    """Writes a UTF-8 text file, whole or not at all.

    Args:
        target: Where the file shall stand.
        text: Its content, or the parts of it one after the other; line ends are written as they are.

    Raises:
        FileTrouble: The folder does not exist, is full or cannot be written to.
    """
    with whole_file(target) as draft, draft.open("w", encoding="utf-8", newline="") as file:
        file.writelines((text,) if isinstance(text, str) else text)


def backup_of(target: Path) -> Path:
    """Where the previous version of a file is kept.

    Args:
        target: The file.

    Example:
        >>> backup_of(Path("hill.job.gpkg")).name
        'hill.job.gpkg.bak'
    """
    return target.with_name(target.name + ".bak")


def is_running(process: int) -> bool:
    """Whether a process of this machine still runs; one that cannot be told of counts as running.

    Args:
        process: Its number.
    """
    if process <= 0:
        return False
    if os.name == "nt":
        return _is_running_on_windows(process)
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except (PermissionError, OverflowError):
        return True
    return True


def _is_running_on_windows(process: int) -> bool:
    import ctypes

    kernel = getattr(ctypes, "windll").kernel32  # noqa: B009 - the name is there on Windows only
    handle = kernel.OpenProcess(0x1000, False, process)  # to ask only; sending signal 0 would end the process there
    if handle:
        kernel.CloseHandle(handle)
    return bool(handle)


def _keep(target: Path) -> None:
    """Gives the present file a second name, so that there is no moment without it; copies it where that cannot be."""
    if not target.is_file():
        return
    second = target.with_name(f".{_HOST}-{os.getpid()}-{secrets.token_hex(4)}-{target.name}")
    try:
        try:
            os.link(target, second)
        except (OSError, NotImplementedError):
            shutil.copy2(target, second)
            _force_to_disk(second)
        os.replace(second, backup_of(target))
    finally:
        second.unlink(missing_ok=True)


def _sweep(target: Path) -> None:
    """Takes away drafts of this file that a process of this machine left when it was killed."""
    with suppress(OSError):
        for left in target.parent.glob(f".{_HOST}-*-{glob.escape(target.name)}*"):
            found = _DRAFT.fullmatch(left.name.removesuffix("-journal"))
            if found and found[2] == target.name and int(found[1]) != os.getpid() and not is_running(int(found[1])):
                left.unlink(missing_ok=True)


def _force_to_disk(path: Path) -> None:
    if path.is_dir() and os.name == "nt":
        return  # folders cannot be opened for this there
    handle = os.open(path, os.O_RDONLY if path.is_dir() else os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
