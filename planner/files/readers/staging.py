"""Where a file is opened: in place when its name is harmless, else as a copy under a plain name in a folder of our own.

The libraries that open files take parts of a name as instructions (``!``, ``.zip``, ``://``), write helper files
beside some formats, and choose a format by the ending. A copy with a plain name and the right ending has none of that.
"""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from planner.errors import FileTrouble


@contextmanager
def staged(path: Path, ending: str, *, always: bool = False, also: tuple[str, ...] = ()) -> Iterator[Path]:
    """A path under which a library may open a file; a copy is gone afterwards.

    Args:
        path: The user's file; never written to, and nothing is written beside it.
        ending: Ending that fits what the file holds, such as ``.gml``.
        always: True to make a copy in any case.
        also: Endings of companions of the same stem to copy with it.

    Raises:
        FileTrouble: The file cannot be read.
    """
    whole = path.resolve()
    harmless = whole.suffix.lower() == ending and "!" not in str(whole) and ".zip" not in str(whole).lower()
    if harmless and not always:
        yield whole
        return
    with tempfile.TemporaryDirectory(prefix="strainwright-") as folder:
        copy = Path(folder) / f"source{ending}"
        try:
            shutil.copyfile(path, copy)
            for other in also:
                if (beside := companion(path, other)) is not None:
                    shutil.copyfile(beside, copy.with_name(f"source{other}"))
        except OSError as error:
            raise FileTrouble(
                f"cannot be read: {error.strerror or error}", where=str(path), remedy="check the file and its rights"
            ) from None
        yield copy


def companion(path: Path, ending: str) -> Path | None:
    """The file of the same stem with another ending, in small or capital letters; None when there is none.

    Args:
        path: A file.
        ending: Ending of its companion, with the dot, in small letters.
    """
    wanted = (path.stem + ending).casefold()
    exact = path.with_suffix(ending)
    if exact.is_file():
        return exact
    try:
        return next((p for p in path.parent.iterdir() if p.name.casefold() == wanted and p.is_file()), None)
    except OSError:
        return None
