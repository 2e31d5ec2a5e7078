"""Keeps the journal of the job in hand: takes edits at once, writes them in a thread of its own.

What is guaranteed: an edit that ``written`` has told of is forced to disk and outlasts the program and the machine.
Edits are written as soon as they are made, in order; those that wait go out together. The journal stands beside the
job; where that folder cannot be written to, or the job has no file, in a folder of the program's own.
"""

from __future__ import annotations

import os
import queue
import secrets
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from planner.errors import FileTrouble, PlannerError
from planner.files.job_file import FileState, is_job_file
from planner.files.journal import Entry, Journal, begun
from planner.files.journal_records import ENDING, journal_of
from planner.job.job import Job


@dataclass(frozen=True)
class Standing:
    """What the edits that follow stand on.

    Attributes:
        base: The job as it stands in its file; None when it stands in none.
        path: The job's own file; None when it has none.
        state: State of that file when it held the base.
        may_stand_beside: True when this process holds the job, so that its journal may stand beside it.
    """

    base: Job | None
    path: Path | None = None
    state: FileState | None = None
    may_stand_beside: bool = False


class JournalWriter:
    """Writes the journal of one job after another.

    Args:
        folder: Folder of the program's own, for journals that cannot stand beside their job; made when needed.
        written: Told after each turn of writing, from the writing thread: how many edits stand in the journal, and
            the job that the last of them gave.
        failed: Told, from the writing thread, what kept edits from being written; they are tried again with the next.
    """

    def __init__(self, folder: Path, *, written: Callable[[int, Job], None] = lambda *_: None,
                 failed: Callable[[Exception], None] = lambda _: None) -> None:
        self._aside = folder / f"{os.getpid()}-{secrets.token_hex(4)}{ENDING}"
        self._written, self._failed = written, failed
        self._orders: queue.SimpleQueue[Standing | Entry | None] = queue.SimpleQueue()
        self._turn = threading.Condition()
        self._thread: threading.Thread | None = None
        self._waiting = 0
        self._standing = Standing(None)
        self._entries: list[Entry] = []
        self._done = 0
        self._journal: Journal | None = None
        self._outlived: list[Journal] = []
        self._foreign: set[Path] = set()

    # told from the window's thread

    def stand_on(self, standing: Standing) -> None:
        """The job was opened, saved or given up: edits up to it need no journal any more.

        Args:
            standing: What the edits that follow stand on. Edits told of already that came after its base are kept.
        """
        self._order(standing)

    def add(self, job: Job, label: str) -> None:
        """Takes an edit; it is written soon.

        Args:
            job: The job after it.
            label: What was done.
        """
        self._order(Entry(label or "take up the job", datetime.now().isoformat(timespec="seconds"), job))

    def leave_alone(self, journal: Path) -> None:
        """A journal of an earlier run that is not to be written over; this one then stands in the other folder.

        Args:
            journal: That journal.
        """
        self._foreign.add(journal)

    def flush(self, seconds: float = 30.0) -> bool:
        """Waits until everything told of is written, and says whether it is.

        Args:
            seconds: How long to wait at most.
        """
        with self._turn:
            self._turn.wait_for(lambda: self._waiting == 0, seconds)
            return self._waiting == 0 and self._done == len(self._entries)

    def close(self) -> None:
        """Waits until everything told of is written, and ends the thread; the journal stays."""
        self.flush()
        thread = self._thread
        if thread is not None:
            self._orders.put(None)
            thread.join()
        for journal in (*self._outlived, self._journal):
            if journal is not None:
                journal.close()

    @property
    def path(self) -> Path | None:
        """Where the journal stands now; None while there is none."""
        journal = self._journal
        return journal.path if journal is not None else None

    def _order(self, order: Standing | Entry) -> None:
        self._orders.put(order)
        with self._turn:
            self._waiting += 1
            if self._thread is None:
                self._thread = threading.Thread(target=self._work, name="journal", daemon=True)
                self._thread.start()

    # the writing thread

    def _work(self) -> None:
        while orders := self._taken():
            try:
                self._carry_out(orders)
            except Exception as bug:  # noqa: BLE001 - a bug here goes to the window's own hook
                self._failed(bug)
            with self._turn:
                self._waiting -= len(orders)
                self._turn.notify_all()

    def _taken(self) -> list[Standing | Entry]:
        """Orders up to the next change of standing; waits for the first; none once the thread shall end."""
        orders: list[Standing | Entry] = []
        order = self._orders.get()
        while order is not None:
            orders.append(order)
            if isinstance(order, Standing):
                return orders
            try:
                order = self._orders.get_nowait()
            except queue.Empty:
                return orders
        if orders:
            self._orders.put(None)
        else:
            self._thread = None
        return orders

    def _carry_out(self, orders: list[Standing | Entry]) -> None:
        for order in orders:
            if isinstance(order, Entry):
                self._entries.append(order)
        if isinstance(orders[-1], Standing):
            self._stand_on(orders[-1])
        if len(self._entries) == self._done:
            return
        try:
            self._write()
        except (OSError, PlannerError) as trouble:
            self._failed(trouble if isinstance(trouble, PlannerError) else FileTrouble(
                f"edits cannot be written down ({trouble.strerror or trouble})", where=str(self._aside.parent),
                remedy="save the job yourself, and often"))
        else:
            self._done = len(self._entries)
            self._end_outlived()
            self._written(self._done, self._entries[-1].job)

    def _stand_on(self, standing: Standing) -> None:
        """Begins anew; edits that came after the job that now stands in the file stay, and are written next."""
        after = [k for k, entry in enumerate(self._entries) if entry.job is standing.base]
        kept = self._entries[after[-1] + 1:] if after else []
        if self._journal is not None:
            self._outlived.append(self._journal)
        self._journal, self._standing, self._entries, self._done = None, standing, kept, 0
        if not kept:
            self._end_outlived()

    def _end_outlived(self) -> None:
        """Takes away the journals before this one: what they held stands in the job's file or in this one."""
        for old in self._outlived:
            old.close()
            if self.path != old.path:
                with suppress(OSError):
                    old.path.unlink(missing_ok=True)
        self._outlived = []

    def _write(self) -> None:
        if self._journal is not None:
            try:
                self._journal.add(self._entries[self._done:])
            except OSError:
                self._journal.close()
                self._begin(self._aside)
            return
        path = self._standing.path
        if path is not None and self._standing.may_stand_beside and is_job_file(path):
            beside = journal_of(path)
            with suppress(OSError, PlannerError):
                if beside not in self._foreign:
                    self._begin(beside)
                    return
        self._begin(self._aside)

    def _begin(self, target: Path) -> None:
        target.parent.mkdir(parents=True, exist_ok=True)
        self._journal = begun(target, base=self._standing.base, job_path=self._standing.path,
                              state=self._standing.state, entries=self._entries)
