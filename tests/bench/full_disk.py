"""Saves onto a disk that is full; each time the old job must still be there, and one sentence must say what happened.

    python tests/bench/full_disk.py [SAVES]

The disk is a small file system in memory, mounted for the run; where mounting is not permitted, the length of a file
is limited instead (RLIMIT_FSIZE), and the table says so. What is left free differs from save to save (fixed seed).
"""

from __future__ import annotations

import random
import resource
import signal
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from job_samples import full_job  # noqa: E402 - found by the path above

from planner.errors import PlannerError  # noqa: E402
from planner.files.job_file import read_job, state_of, write_job  # noqa: E402

SIZE = 2 * 2**20


@contextmanager
def small_disk() -> Iterator[tuple[Path, bool]]:
    """A folder on a disk of two megabytes, and whether it really is one."""
    with tempfile.TemporaryDirectory() as folder:
        mounted = subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={SIZE}", "tmpfs", folder], check=False,
                                 capture_output=True).returncode == 0
        try:
            yield Path(folder), mounted
        finally:
            if mounted:
                subprocess.run(["umount", folder], check=True)


@contextmanager
def full(folder: Path, mounted: bool, free: int) -> Iterator[None]:
    """The disk with so many bytes left."""
    if not mounted:
        before = resource.getrlimit(resource.RLIMIT_FSIZE)
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (free, before[1]))
        try:
            yield
        finally:
            resource.setrlimit(resource.RLIMIT_FSIZE, before)
        return
    import os

    ballast = folder / "ballast"
    there = os.statvfs(folder)
    ballast.write_bytes(bytes(max(0, there.f_bavail * there.f_frsize - free)))
    try:
        yield
    finally:
        ballast.unlink()


def main(saves: int) -> int:
    chance, found, wrong = random.Random("strainwright full disk"), Counter[str](), []
    with small_disk() as (folder, mounted):
        path = folder / "farm.job.gpkg"
        write_job(path, full_job())
        length = path.stat().st_size
        for save in range(saves):
            before = path.read_bytes()
            with full(folder, mounted, chance.randrange(0, int(0.95 * length))):
                try:
                    write_job(path, replace(full_job(), notes=(f"save {save}",)), was=state_of(path))
                    found["saved all the same"] += 1
                except PlannerError as trouble:
                    found["refused with one sentence"] += 1
                    found[f"  {trouble.what}"] += 1
                    if path.read_bytes() != before or "\n" in str(trouble):
                        wrong.append(f"save {save}: {trouble}")
            read_job(path)
            if left := [p.name for p in folder.iterdir() if p.name.startswith(".")]:
                wrong.append(f"save {save}: {left} left")
        write_job(path, replace(full_job(), notes=("room again",)), was=state_of(path))
        again = read_job(path).notes == ("room again",)
    print(f"{'disk':<64}{'tmpfs of 2 MB' if mounted else 'RLIMIT_FSIZE':>14}")
    print(f"{'saves':<64}{saves:>14}")
    for what, count in sorted(found.items(), key=lambda item: item[0].startswith("  ")):
        print(f"{what:<64}{count:>14}")
    print(f"{'old job lost, changed or with something left beside it':<64}{len(wrong):>14}")
    print(f"{'saved once there was room again':<64}{'yes' if again else 'no':>14}")
    print("\n".join(wrong))
    return 1 if wrong or not again else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 50))
