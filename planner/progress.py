"""Progress: how long work tells whoever waits for it. Knows nothing of windows or terminals."""

from __future__ import annotations

from typing import Protocol


class Progress(Protocol):
    """Somebody who waits for long work and may ask it to stop."""

    def report(self, fraction: float, text: str) -> None:
        """Takes the share done (0 to 1) and a few words on what is being done."""

    def stop_if_cancelled(self) -> None:
        """Raises ``planner.errors.Cancelled`` when the user has asked for the work to stop."""


class Unwatched:
    """Nobody waits: reports go nowhere and nothing is cancelled."""

    def report(self, fraction: float, text: str) -> None:
        """Does nothing."""

    def stop_if_cancelled(self) -> None:
        """Does nothing."""


class Part:
    """A stretch of a larger piece of work, reporting into it.

    Args:
        whole: Who waits for the larger work.
        start: Share of the whole already done when this part starts. 0 to 1.
        end: Share of the whole done when this part ends. 0 to 1.
    """

    def __init__(self, whole: Progress, start: float, end: float) -> None:
        self._whole, self._start, self._span = whole, start, end - start

    def report(self, fraction: float, text: str) -> None:
        """Passes the share on, scaled into this part's stretch of the whole."""
        self._whole.report(self._start + self._span * fraction, text)

    def stop_if_cancelled(self) -> None:
        """Asks the larger work."""
        self._whole.stop_if_cancelled()
