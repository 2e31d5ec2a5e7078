"""A progress bar on a terminal; nothing when piped or when it shall be quiet."""

from __future__ import annotations

import sys
from typing import Any

from planner.progress import Progress, Unwatched


class TerminalBar:
    """Shows how far long work is, on standard error."""

    def __init__(self) -> None:
        from tqdm import tqdm

        self._bar: Any = tqdm(total=100, bar_format="{desc:<44.44} {bar} {n:3.0f} %", file=sys.stderr, leave=False)

    def report(self, fraction: float, text: str) -> None:
        """Moves the bar."""
        self._bar.set_description_str(text, refresh=False)
        self._bar.update(max(0.0, 100 * fraction - self._bar.n))

    def stop_if_cancelled(self) -> None:
        """Does nothing: on a terminal the user interrupts with the keyboard."""

    def close(self) -> None:
        """Takes the bar away."""
        self._bar.close()


class Watched:
    """The progress of one command: a bar on a terminal, or nobody.

    Args:
        quiet: True when no bar shall be shown.
    """

    def __init__(self, *, quiet: bool) -> None:
        self._bar = TerminalBar() if not quiet and sys.stderr.isatty() else None

    def __enter__(self) -> Progress:
        return self._bar or Unwatched()

    def __exit__(self, *_: object) -> None:
        if self._bar:
            self._bar.close()
