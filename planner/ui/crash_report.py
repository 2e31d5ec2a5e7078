"""What happens when the program itself is at fault: the job is kept, a report is written, the window runs on.

A report holds the version, the platform and where in the program it happened: no name, place or figure of the job.
"""

from __future__ import annotations

import logging
import platform
import sys
import threading
import traceback
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import NamedTuple

from PySide6.QtCore import QObject, Signal, qVersion

from planner import __version__
from planner.errors import FileTrouble
from planner.files.atomic_save import write_text

SPEAK_OF_CODE = (AttributeError, NameError, ImportError, ZeroDivisionError, RecursionError, NotImplementedError)
"""Faults whose message speaks of the program alone; the message of any other may hold something of the job."""
_PROGRAM = Path(__file__).resolve().parents[1]
Fault = tuple[type[BaseException], BaseException, TracebackType | None]


class _Hooks(NamedTuple):
    main: Callable[..., object]
    thread: Callable[..., object]


class CrashReports(QObject):
    """The top hook: takes every fault that nobody took, from any thread.

    Args:
        folder: Where reports are written; made when it is not there.
        parent: Qt parent.

    Attributes:
        written: A report was written, and where; an empty path when that failed too.
    """

    written = Signal(object)
    _met = Signal(object)

    def __init__(self, folder: Path, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._folder = folder / "reports"
        self._before: _Hooks | None = None
        self._busy = False
        self._met.connect(self._write)

    def install(self) -> None:
        """Takes the place of Python's own hooks."""
        self._before = _Hooks(sys.excepthook, threading.excepthook)
        sys.excepthook = self._hook
        threading.excepthook = lambda told: self._hook(
            told.exc_type, told.exc_value or told.exc_type(), told.exc_traceback)

    def remove(self) -> None:
        """Puts the hooks back that were there before."""
        if self._before is not None:
            sys.excepthook, threading.excepthook = self._before
            self._before = None

    def report(self, fault: BaseException) -> None:
        """Takes a fault that somebody else met."""
        self._met.emit((type(fault), fault, fault.__traceback__))

    def _hook(self, kind: type[BaseException], fault: BaseException, trace: TracebackType | None) -> None:
        if issubclass(kind, KeyboardInterrupt):
            sys.__excepthook__(kind, fault, trace)
            return
        self._met.emit((kind, fault, trace))

    def _write(self, fault: Fault) -> None:
        if self._busy:  # a fault while one is being told must not go round in circles
            return
        self._busy = True
        try:
            logging.getLogger("strainwright.window").error("fault", exc_info=fault)
            self.written.emit(write_report(self._folder, fault))
        finally:
            self._busy = False


def write_report(folder: Path, fault: Fault) -> Path | None:
    """Writes a report of a fault.

    Args:
        folder: Where; made when it is not there.
        fault: Kind, fault and traceback, as Python's hook gives them.

    Returns:
        The file; None when none could be written.
    """
    now = datetime.now()
    target = folder / f"fault-{now:%Y-%m-%d-%H%M%S-%f}.txt"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        write_text(target, text_of(fault, now))
    except (FileTrouble, OSError):
        return None
    return target


def text_of(fault: Fault, at: datetime) -> str:
    """The text of a report.

    Args:
        fault: Kind, fault and traceback.
        at: When it happened.
    """
    kind, told, trace = fault
    head = (f"Strainwright {__version__}\nPython {platform.python_version()}, Qt {qVersion()}, "
            f"{platform.system()} {platform.release()} {platform.machine()}\n{at:%Y-%m-%d %H:%M:%S}\n"
            "This report holds nothing of the job.\n\n")
    frames = "".join(_frame(frame) for frame in traceback.extract_tb(trace))
    message = str(told) if isinstance(told, SPEAK_OF_CODE) else "its message is left out: it may speak of the job"
    return f"{head}{frames}{kind.__name__}: {message}\n"


def _frame(frame: traceback.FrameSummary) -> str:
    path = Path(frame.filename)
    try:
        shown = str(Path("planner") / path.resolve().relative_to(_PROGRAM))
    except ValueError:
        shown = path.name  # folders of the machine are nobody's business
    return f"  {shown}, line {frame.lineno}, in {frame.name}\n    {frame.line}\n"
