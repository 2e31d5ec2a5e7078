"""Files appear whole or not at all."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from planner.errors import FileTrouble


@contextmanager
def whole_file(target: Path) -> Iterator[Path]:
    """A path to write to, which takes the target's place only when the block ends well.

    The new content is written beside the target, forced to disk, and moved over it in one step; the folder is
    forced to disk after it. When the block fails, the target is as it was and nothing is left beside it.

    Args:
        target: Where the file shall stand. Its folder must exist.

    Yields:
        A path in the same folder, with the same ending.

    Raises:
        FileTrouble: The folder does not exist, is full or cannot be written to.
    """
    draft = target.with_name(f".{secrets.token_hex(4)}-{target.name}")
    try:
        yield draft
        _force_to_disk(draft)
        os.replace(draft, target)
        _force_to_disk(target.parent)
    except OSError as trouble:
        raise FileTrouble(f"it cannot be written ({trouble.strerror or trouble})", where=str(target),
                          remedy="choose a folder you may write to, with room on its disk") from trouble
    finally:
        with suppress(OSError):
            draft.unlink(missing_ok=True)


def write_text(target: Path, text: str) -> None:
    """Writes a UTF-8 text file, whole or not at all.

    Args:
        target: Where the file shall stand.
        text: Its content; line ends are written as they are.

    Raises:
        FileTrouble: The folder does not exist, is full or cannot be written to.
    """
    with whole_file(target) as draft:
        draft.write_text(text, encoding="utf-8", newline="")


def _force_to_disk(path: Path) -> None:
    if path.is_dir() and os.name == "nt":
        return  # folders cannot be opened for this there
    handle = os.open(path, os.O_RDONLY if path.is_dir() else os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
