"""Which commands change the job they name, and that it is held while they do: from before reading until after writing.

Commands that are not named here only read; ``demo`` makes a job of its own.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path


def _always(_: argparse.Namespace) -> bool:
    return True


CHANGING: dict[str, Callable[[argparse.Namespace], bool]] = {
    "clearances": lambda chosen: any((chosen.settle, chosen.not_needed, chosen.add, chosen.take_back, chosen.issue)),
    "crossings": lambda chosen: bool(chosen.place),
    "divide": _always,
    "features": lambda chosen: bool(chosen.sources or chosen.remove),
    "fit": _always,
    "lines": lambda chosen: any((chosen.rename, chosen.fence, chosen.ground, chosen.no_ground, chosen.wires_on,
                                 chosen.remove)),
    "log": lambda chosen: bool(chosen.what),
    "paddocks": lambda chosen: bool(chosen.share_edges),
    "plan": _always,
    "prices": _always,
    "setback": _always,
    "straighten": _always,
    "terms": lambda chosen: chosen.read is not None,
    "traverse": _always,
}
"""Command to whether it changes its job with the words that were given."""


@contextmanager
def job_held(chosen: argparse.Namespace) -> Iterator[None]:
    """Holds the job that a command is about to change; nothing is held for one that only reads.

    Args:
        chosen: Parsed words of the command line.

    Raises:
        JobTrouble: Someone else has the job open.
        FileTrouble: Its folder cannot be written to.
    """
    changes = CHANGING.get(chosen.command)
    if changes is None or not changes(chosen):
        yield
        return
    path: Path = chosen.job
    if not path.name.lower().endswith(".job.gpkg") or not path.parent.is_dir():
        yield  # the command says itself what is wrong with the path
        return
    from planner.files.lock import held

    with held(path):
        yield
