"""Reads files and tells which others were opened and who was called: run as a program of its own, under strace too.

Reads a JSON list of ``[name, reader, path, variables]`` from its first argument and writes what came of each, one
JSON text a line, to its second. An audit hook sees what Python opens; an opened path ``/reading-case-N``, which is
not there, parts the cases in the log of strace, which sees what the libraries open as well.
"""

from __future__ import annotations

import json
import os
import sys
import tempfile
import warnings
from contextlib import suppress
from pathlib import Path

SEEN: list[list[str]] = []
WATCHED = ("open", "socket.connect", "socket.getaddrinfo", "subprocess.Popen", "os.system", "os.exec", "os.posix_spawn",
           "ctypes.dlopen", "pickle.find_class")


def _watch(event: str, arguments: tuple[object, ...]) -> None:
    if event in WATCHED:
        SEEN.append([event, str(arguments[0])[:300] if event == "open" else str(arguments)[:300]])


def _read(reader: str, path: Path) -> object:
    from planner.files.job_file import read_job
    from planner.files.read import read
    from planner.files.readers.image import read_backdrop
    from planner.files.readers.leg_table import read_legs
    from planner.files.readers.price_list import read_price_list
    from planner.files.readers.terrain import open_terrain
    from planner.spec.catalogue import load_catalogue

    if reader == "lines":
        return read(path).troubles
    if reader == "terrain":
        import numpy as np

        with open_terrain(path, grid="EPSG:28355") as terrain:
            terrain.levels(np.array([[500_100.0, 5_999_800.0], [500_300.0, 5_999_700.0]]))
            return terrain.notes, [str(f) for f in terrain.files]
    if reader == "picture":
        return read_backdrop(path, "EPSG:28355").notes
    if reader == "prices":
        return read_price_list(path, load_catalogue().items)
    if reader == "legs":
        return read_legs(path)
    if reader == "job":
        return read_job(path).name
    if reader == "uncontrolled":  # what would happen without care: shows that the watching works
        import rasterio

        with suppress(Exception), rasterio.open(path) as dataset:
            return str(dataset.read(1).sum())
    raise ValueError(reader)


def main(tasks: str, out: str) -> None:
    from planner.errors import PlannerError

    tempfile.gettempdir()  # tries out where it may write, once
    sys.addaudithook(_watch)
    with open(out, "w", encoding="utf-8") as told:
        for number, (name, reader, path, variables) in enumerate(json.loads(Path(tasks).read_text("utf-8"))):
            os.environ.update(variables)
            with suppress(OSError):
                os.close(os.open(f"/reading-case-{number}", os.O_RDONLY))
            SEEN.clear()
            try:
                with warnings.catch_warnings():
                    warnings.simplefilter("ignore")
                    words, refused, broken = repr(_read(reader, Path(path))), False, ""
            except PlannerError as trouble:
                words, refused, broken = str(trouble), True, ""
            except Exception as bug:  # noqa: BLE001 - a bug in a reader is what is looked for
                words, refused, broken = "", False, f"{type(bug).__name__}: {bug}"
            seen = list(SEEN)
            for key in variables:
                os.environ.pop(key, None)
            told.write(json.dumps({"name": name, "words": words, "refused": refused, "broken": broken, "seen": seen})
                       + "\n")
            told.flush()
    with suppress(OSError):
        os.close(os.open("/reading-case-end", os.O_RDONLY))


if __name__ == "__main__":
    main(*sys.argv[1:])
