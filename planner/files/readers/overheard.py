"""What a library writes into its log while it reads: kept for the findings, and off the terminal."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager


class _Listener(logging.Handler):
    def __init__(self, said: list[str]) -> None:
        super().__init__(logging.WARNING)
        self._said = said

    def emit(self, record: logging.LogRecord) -> None:
        self._said.append(" ".join(record.getMessage().split()))


@contextmanager
def overheard(library: str) -> Iterator[list[str]]:
    """The warnings that a library logs meanwhile, in order, each as one line.

    Args:
        library: Name of the library's logger.

    Example:
        >>> with overheard("some.reader") as said:
        ...     logging.getLogger("some.reader").warning("odd value %s", 7)
        >>> said
        ['odd value 7']
    """
    said: list[str] = []
    logger, listener = logging.getLogger(library), _Listener(said)
    before = logger.propagate
    logger.addHandler(listener)
    logger.propagate = False
    try:
        yield said
    finally:
        logger.removeHandler(listener)
        logger.propagate = before
