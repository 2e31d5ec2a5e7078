"""An interrupt is kept: where a library swallows it, it comes again; what tidies up is left to end."""

from __future__ import annotations

import os
import signal
import sys
import threading
import time
from collections.abc import Callable

import pytest

from planner.commands import interrupts
from planner.commands.interrupts import interrupts_kept

pytestmark = pytest.mark.skipif(not hasattr(signal, "setitimer"), reason="there are no such timers there")
WAIT_AT_MOST_S = 20.0


@pytest.fixture(autouse=True)
def soon(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(interrupts, "AGAIN_AFTER", 0.02)


class Swallowing:
    """Whose end is a call-back: what is raised in it goes nowhere."""

    def __del__(self) -> None:
        os.kill(os.getpid(), signal.SIGINT)
        sum(range(10))


def swallowed() -> None:
    with interrupts_kept():
        Swallowing()  # it ends at once
        time.sleep(WAIT_AT_MOST_S)


def interrupted(then: Callable[[], None]) -> None:
    """Is interrupted, and does something because of it."""
    with interrupts_kept():
        try:
            os.kill(os.getpid(), signal.SIGINT)
            time.sleep(WAIT_AT_MOST_S)
        finally:
            then()


def test_one_that_was_swallowed_comes_again(capsys: pytest.CaptureFixture[str]):
    started = time.monotonic()
    with pytest.raises(KeyboardInterrupt):
        swallowed()
    assert time.monotonic() - started < WAIT_AT_MOST_S / 2
    assert "Traceback" not in capsys.readouterr().err


def test_what_tidies_up_is_left_to_end():
    tidied: list[str] = []

    def tidy_up() -> None:
        end = time.monotonic() + 0.2
        while time.monotonic() < end:
            time.sleep(0.01)
        tidied.append("all of it")

    with pytest.raises(KeyboardInterrupt):
        interrupted(tidy_up)
    assert tidied == ["all of it"]


def fail() -> None:
    raise ImportError("half of it is loaded")


def failing() -> None:
    with interrupts_kept():
        fail()


def test_what_an_interrupt_was_turned_into_counts_as_one():
    with pytest.raises(KeyboardInterrupt):
        interrupted(fail)
    with pytest.raises(ImportError):
        failing()


def test_who_insists_is_heard_while_it_tidies_up():
    tidied: list[str] = []

    def insist() -> None:
        os.kill(os.getpid(), signal.SIGINT)
        os.kill(os.getpid(), signal.SIGINT)
        time.sleep(WAIT_AT_MOST_S)
        tidied.append("all of it")

    with pytest.raises(KeyboardInterrupt):
        interrupted(insist)
    assert not tidied


def test_a_library_that_prints_an_interrupt_prints_nothing_and_other_troubles_are_printed(capsys):
    with interrupts_kept():
        sys.excepthook(KeyboardInterrupt, KeyboardInterrupt(), None)
        assert capsys.readouterr().err == ""
        sys.excepthook(ValueError, ValueError("the number"), None)
        assert "the number" in capsys.readouterr().err


def test_everything_is_as_before_when_it_ends():
    def state() -> tuple[object, ...]:
        return (signal.getsignal(signal.SIGINT), signal.getsignal(signal.SIGALRM), sys.unraisablehook, sys.excepthook)

    before = state()
    with interrupts_kept():
        assert signal.getsignal(signal.SIGINT) != before[0]
    assert state() == before
    assert signal.getitimer(signal.ITIMER_REAL) == (0.0, 0.0)


def test_other_threads_leave_the_signals_alone():
    before = signal.getsignal(signal.SIGINT)
    seen = []

    def work() -> None:
        with interrupts_kept():
            seen.append(signal.getsignal(signal.SIGINT))

    thread = threading.Thread(target=work)
    thread.start()
    thread.join()
    assert seen == [before]
