"""Reads mutated files of every kind, with fixed seeds, each kind in a process of its own; prints a table.

    python tests/bench/mutations.py [TRIES] [SECONDS A KIND] [KIND ...]

No traceback, no reading above 10 s, no memory above 1 GB: the last lines name what broke that, if anything did.
"""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from mutated import KINDS, tally  # noqa: E402 - found by the path above

SLOWEST_S, MOST_MB = 10.0, 1024.0


def one(kind: str, tries: int, seconds: float) -> None:
    with tempfile.TemporaryDirectory() as folder:
        result = tally(Path(folder), kind, tries, seconds=seconds)
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(json.dumps([result.tries, result.found["read"], result.found["refused"], result.slowest_s, peak_mb,
                      result.bugs]))


def main(tries: int, seconds: float, kinds: list[str]) -> int:
    wrong: list[str] = []
    print(f"{'kind':<10}{'tries':>8}{'read':>8}{'refused':>9}{'bugs':>6}{'slowest s':>11}{'peak MB':>9}", flush=True)
    for kind in kinds:
        done = subprocess.run([sys.executable, __file__, "--one", kind, str(tries), str(seconds)], check=False,
                              capture_output=True, text=True)
        if done.returncode:
            wrong.append(f"{kind}: the process ended with {done.returncode}: {done.stderr[-300:]}")
            continue
        count, read, refused, slowest, peak, bugs = json.loads(done.stdout.splitlines()[-1])
        print(f"{kind:<10}{count:>8}{read:>8}{refused:>9}{len(bugs):>6}{slowest:>11.2f}{peak:>9.0f}", flush=True)
        wrong += bugs[:5]
        wrong += [f"{kind}: slow or large"] if slowest > SLOWEST_S or peak > MOST_MB else []
    print("\n".join(wrong))
    return 1 if wrong else 0


if __name__ == "__main__":
    if sys.argv[1:2] == ["--one"]:
        one(sys.argv[2], int(sys.argv[3]), float(sys.argv[4]))
        sys.exit()
    words = sys.argv[1:]
    sys.exit(main(int(words[0]) if words else 20_000, float(words[1]) if len(words) > 1 else float("inf"),
                  words[2:] or list(KINDS)))
