"""An interrupt that is not lost: Ctrl+C ends a command even where a library swallows the exception."""

from __future__ import annotations

import signal
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from types import FrameType, TracebackType
from typing import Any

from planner.units import Second

AGAIN_AFTER: Second = 0.5
"""How long after an interrupt it is raised once more, should it have been swallowed. [s]"""
_INSIST = 3


@contextmanager
def interrupts_kept() -> Iterator[None]:
    """While it holds, an interrupt is raised again and again until somebody deals with it.

    Python raises ``KeyboardInterrupt`` wherever it happens to be, and that may be inside a call-back or an attribute
    look-up of a compiled library, which clears every exception and goes on as if nothing had been said. The user would
    wait for a command that was told to stop. Nothing is raised while one is being dealt with, so that what removes
    half-written files is not itself cut off, unless the user insists a third time. What goes wrong in the block after
    an interrupt counts as the interrupt.

    Raises:
        KeyboardInterrupt: The user asked to stop.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    asked = 0

    def ask(number: int, frame: FrameType | None) -> None:
        nonlocal asked
        asked += number == signal.SIGINT
        _set_timer(AGAIN_AFTER)
        if not _being_dealt_with() or asked >= _INSIST:
            raise KeyboardInterrupt

    before = {number: signal.signal(number, ask) for number in _numbers()}
    unraisable, printed = sys.unraisablehook, sys.excepthook
    sys.unraisablehook, sys.excepthook = _silent_on_interrupts, _not_printed
    try:
        yield
    except Exception:
        if asked:  # a library made something else of the interrupt, such as a failed import
            raise KeyboardInterrupt from None
        raise
    finally:
        _set_timer(0.0)
        for number, handler in before.items():
            signal.signal(number, handler)
        sys.unraisablehook, sys.excepthook = unraisable, printed


def _numbers() -> tuple[int, ...]:
    return (signal.SIGINT, signal.SIGALRM) if hasattr(signal, "setitimer") else (signal.SIGINT,)


def _set_timer(seconds: Second) -> None:
    if hasattr(signal, "setitimer"):
        signal.setitimer(signal.ITIMER_REAL, seconds)


def _being_dealt_with() -> bool:
    """Whether the code that was interrupted runs because of an earlier interrupt: in its ``finally`` or ``except``."""
    trouble = sys.exc_info()[1]
    while trouble is not None:
        if isinstance(trouble, KeyboardInterrupt):
            return True
        trouble = trouble.__context__
    return False


def _silent_on_interrupts(unraisable: Any) -> None:
    """Says nothing of an interrupt that was swallowed: it comes again."""
    if not isinstance(unraisable.exc_value, KeyboardInterrupt):
        with suppress(Exception):
            sys.__unraisablehook__(unraisable)


def _not_printed(kind: type[BaseException], trouble: BaseException, trace: TracebackType | None) -> None:
    """Does not print an interrupt that a compiled library prints and forgets: it comes again."""
    if not issubclass(kind, KeyboardInterrupt):
        sys.__excepthook__(kind, trouble, trace)
