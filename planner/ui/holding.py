"""Holding the job in hand: its lock is taken when it is opened or saved, renewed while it is open, given up after.

A job that someone else has open can be looked at, planned and tried out in memory; it cannot be saved over, only
elsewhere. Once it is free, it is offered.
"""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QObject, QTimer, Signal

from planner.errors import FileTrouble, JobTrouble
from planner.files.lock import Holder, holder_of, release, renew, take
from planner.ui.background import Task

TURN_S = 20
"""How often the lock is renewed, or looked at when it is someone else's. [s] Common practice, no source."""


class Holding(QObject):
    """The lock of the job in hand.

    Args:
        parent: Qt parent.

    Attributes:
        changed: It is held by another now, or no more.
        freed: Whoever held it has let go.
        lost: Someone else has taken it over, after this machine had not renewed it for long; who.
    """

    changed = Signal()
    freed = Signal()
    lost = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.path: Path | None = None
        self.holder: Holder | None = None
        self.is_held = False
        self._task: Task | None = None
        self._timer = QTimer(self)
        self._timer.setInterval(TURN_S * 1000)
        self._timer.timeout.connect(self.look)

    @property
    def is_read_only(self) -> bool:
        """True while the job in hand is held by another."""
        return self.holder is not None

    def keep(self, path: Path | None, holder: Holder | None = None, *, is_held: bool = True) -> None:
        """The job of a file is in hand now; the one before is given free.

        Args:
            path: Its file; None for a job without one.
            holder: Who else holds it; None when this process does, or nobody.
            is_held: False when it could not be locked, because its folder cannot be written to.
        """
        if self.path is not None and self.path != path and self.is_held:
            release(self.path)
        self.path, self.holder = path, holder
        self.is_held = path is not None and holder is None and is_held
        if path is None:
            self._timer.stop()
        else:
            self._timer.start()
        self.changed.emit()

    def holds(self, path: Path) -> bool:
        """Whether this process holds a job.

        Args:
            path: The job's file.
        """
        return self.is_held and self.path == path

    def look(self) -> None:
        """Renews the lock, or looks whether whoever has it has let go; in the background."""
        path, was_held = self.path, self.is_held
        if path is None or self._task is not None or not (was_held or self.is_read_only):
            return
        task = Task("looking after the lock", lambda progress: looked_at(path, mine=was_held), self)
        task.done.connect(lambda found: self._found(path, found))
        task.finished.connect(self._end)
        self._task = task
        task.start()

    def take_over(self) -> bool:
        """Takes the job over, when it is free; False when someone was quicker."""
        if self.path is None:
            return False
        found = taken(self.path)
        self.keep(self.path, found.holder, is_held=found.is_held)
        return found.is_held

    def close(self) -> None:
        """Gives the job free."""
        self._timer.stop()
        if self._task is not None:
            self._task.wait()
        if self.path is not None and self.is_held:
            release(self.path)
        self.path, self.holder, self.is_held = None, None, False

    def _found(self, path: Path, holder: Holder | None) -> None:
        if path != self.path or (holder is None) == (self.holder is None):
            return
        if holder is None:
            self.freed.emit()
            return
        self.holder, self.is_held = holder, False
        self.changed.emit()
        self.lost.emit(holder)

    def _end(self) -> None:
        if self._task is not None:
            self._task.deleteLater()
            self._task = None


class Taken:
    """How taking a lock went.

    Args:
        holder: Who else holds the job; None when nobody else does.
        is_held: True when this process holds it now.
        is_new: True when it did not before.
    """

    def __init__(self, holder: Holder | None, *, is_held: bool, is_new: bool = False) -> None:
        self.holder, self.is_held, self.is_new = holder, is_held, is_new


def taken(path: Path) -> Taken:
    """Takes the lock of a job, as far as that is possible.

    Args:
        path: The job's file.
    """
    try:
        return Taken(None, is_held=True, is_new=take(path))
    except JobTrouble:
        holder = holder_of(path)
        return Taken(holder, is_held=False) if holder is not None else taken(path)
    except FileTrouble:
        return Taken(None, is_held=False)


def looked_at(path: Path, *, mine: bool) -> Holder | None:
    """Who else holds a job; one's own lock is renewed, and taken again when somebody has removed it.

    Args:
        path: The job's file.
        mine: True when this process holds it, as far as it knows.
    """
    holder = holder_of(path)
    if holder is not None and not holder.is_this_process:
        return holder
    if mine:
        if holder is None:
            return taken(path).holder
        renew(path)
    return None
