"""Who has a job open: a lock file beside it.

The lock says who, on which machine, in which process and since when. One whose process no longer runs, or which
another machine has not renewed for half a day, is stale and is taken over.
"""

from __future__ import annotations

import atexit
import getpass
import json
import os
import platform
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path

from planner.errors import FileTrouble, JobTrouble
from planner.files.atomic_save import is_running

LEASE_S = 12 * 3600
"""After this time without renewal a lock of another machine is stale. [s] Common practice."""
_BEING_WRITTEN_S = 10.0
_taken: set[Path] = set()  # by this process; what an interrupt kept it from giving free is given free when it ends


@dataclass(frozen=True, slots=True)
class Holder:
    """Who holds a job.

    Attributes:
        owner: User name.
        host: Machine.
        process: Process number on that machine.
        since: ISO time of the lock, UTC.
        begun: What tells this process from a later one of the same number; empty where the system does not say.
    """

    owner: str
    host: str
    process: int
    since: str
    begun: str = ""

    @property
    def words(self) -> str:
        """Who, where and since when, in words."""
        return f"{self.owner or 'someone'} on {self.host or 'another machine'}, since {_when(self.since)}"

    @property
    def is_this_process(self) -> bool:
        """True when it is this very process."""
        return self.host == platform.node() and self.process == os.getpid() and self.begun in ("", _begun(os.getpid()))


def lock_of(path: Path) -> Path:
    """Where the lock of a job stands.

    Args:
        path: The job's file.
    """
    return path.with_name(path.name + ".lock")


def holder_of(path: Path) -> Holder | None:
    """Who holds a job; None when nobody does, or the lock is stale.

    Args:
        path: The job's file.
    """
    lock = lock_of(path)
    try:
        age = time.time() - lock.stat().st_mtime
        said = json.loads(lock.read_text(encoding="utf-8"))
        holder = Holder(str(said["owner"]), str(said["host"]), int(said["process"]), str(said["since"]),
                        str(said.get("begun", "")))
    except FileNotFoundError:
        return None
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        with suppress(OSError):
            if time.time() - lock.stat().st_mtime < _BEING_WRITTEN_S:
                return Holder("", "", 0, "")
        return None
    return None if _is_stale(holder, age) else holder


def refuse_when_held(path: Path) -> None:
    """Refuses a job that someone else holds.

    Args:
        path: The job's file.

    Raises:
        JobTrouble: Another living process holds it.
    """
    holder = holder_of(path)
    if holder is not None and not holder.is_this_process:
        raise JobTrouble(f"it is open elsewhere ({holder.words})", where=str(path),
                         remedy=f"close it there, or save under another name; if nobody has it open, remove "
                                f"{lock_of(path).name}")


@contextmanager
def held(path: Path) -> Iterator[None]:
    """Holds a job while the block runs; a process that holds it already goes on holding it afterwards.

    Args:
        path: The job's file, which need not be there yet.

    Raises:
        JobTrouble: Another living process holds it.
        FileTrouble: Its folder cannot be written to.
    """
    mine = take(path)
    try:
        yield
    finally:
        if mine:
            release(path)


def take(path: Path) -> bool:
    """Takes the lock of a job.

    Args:
        path: The job's file, which need not be there yet.

    Returns:
        True when it was taken now, False when this process had it already.

    Raises:
        JobTrouble: Another living process holds it.
        FileTrouble: Its folder cannot be written to.
    """
    lock = lock_of(path)
    for _ in range(20):
        refuse_when_held(path)
        try:
            handle = os.open(lock, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o644)
        except FileExistsError:
            if holder_of(path) is not None:
                return False
            _remove_stale(lock)
            continue
        except OSError as trouble:
            raise FileTrouble(f"it cannot be locked ({trouble.strerror or trouble})", where=str(path),
                              remedy="choose a folder you may write to, with room on its disk") from trouble
        with os.fdopen(handle, "w", encoding="utf-8") as out:
            json.dump(asdict(this_process()), out)
        _taken.add(path.absolute())
        return True
    raise JobTrouble("its lock is taken and given up by others all the time", where=str(path), remedy="try again")


def renew(path: Path) -> None:
    """Tells other machines that this process still holds a job; nothing happens when it does not.

    Args:
        path: The job's file.
    """
    holder = holder_of(path)
    if holder is not None and holder.is_this_process:
        with suppress(OSError):
            os.utime(lock_of(path))


def release(path: Path) -> None:
    """Gives a job free, when this process holds it.

    Args:
        path: The job's file.
    """
    holder = holder_of(path)
    if holder is not None and holder.is_this_process:
        with suppress(OSError):
            lock_of(path).unlink(missing_ok=True)
    _taken.discard(path.absolute())


def this_process() -> Holder:
    """This process as a holder, from now on."""
    try:
        owner = getpass.getuser()
    except (OSError, KeyError):
        owner = ""
    return Holder(owner, platform.node(), os.getpid(), datetime.now(UTC).isoformat(timespec="seconds"),
                  _begun(os.getpid()))


def has_ended(holder: Holder) -> bool:
    """Whether a process of this machine has ended; one of another machine cannot be told of and counts as ended.

    Args:
        holder: The process.
    """
    return _is_stale(holder, LEASE_S + 1.0)


@atexit.register
def _release_all() -> None:
    for path in tuple(_taken):
        release(path)


def _when(iso: str) -> str:
    """A time as a person of this machine reads it."""
    try:
        at = datetime.fromisoformat(iso).astimezone()
    except ValueError:
        return "no known time"
    return f"{at:%H:%M} today" if at.date() == datetime.now().astimezone().date() else f"{at:%d %B %Y, %H:%M}"


def _is_stale(holder: Holder, age_s: float) -> bool:
    if holder.host != platform.node():
        return age_s > LEASE_S
    if not is_running(holder.process):
        return True
    return holder.begun not in ("", _begun(holder.process))


def _begun(process: int) -> str:
    """When a process began, as the system counts it; empty where it does not say."""
    try:
        facts = Path(f"/proc/{process}/stat").read_text(encoding="ascii", errors="replace")
        return facts.rpartition(")")[2].split()[19]
    except (OSError, IndexError):
        return ""


def _remove_stale(lock: Path) -> None:
    """Takes a stale lock away under another name first, so that of two who find it only one does."""
    aside = lock.with_name(f".{lock.name}-{os.getpid()}-{time.monotonic_ns()}")
    with suppress(OSError):
        os.replace(lock, aside)
        aside.unlink(missing_ok=True)
