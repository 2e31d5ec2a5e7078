"""How long the lightest command takes from the shell: the start path of every command.

Run ``python tests/bench/startup.py``.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from pathlib import Path

RUNS, LONGEST_S = 10, 0.3
CHECKOUT = Path(__file__).resolve().parents[2]


def main() -> None:
    """Prints the median and the spread, and the slowest imports."""
    for words in (["fences"], ["--version"], ["plan", "--help"]):
        took = []
        for _ in range(RUNS):
            began = time.perf_counter()
            subprocess.run([sys.executable, "-m", "planner", *words], cwd=CHECKOUT, capture_output=True, check=True)
            took.append(time.perf_counter() - began)
        median = statistics.median(took)
        print(f"strainwright {' '.join(words):<12} median {median:.3f} s, {min(took):.3f} to {max(took):.3f}"
              f" ({'kept' if median <= LONGEST_S else 'NOT KEPT'}: {LONGEST_S:g} s)")
    traced = subprocess.run([sys.executable, "-X", "importtime", "-m", "planner", "fences"], cwd=CHECKOUT,
                            capture_output=True, text=True, check=True).stderr.splitlines()
    rows = [row.split("|") for row in traced if row.startswith("import time:") and "cumulative" not in row]
    for own, whole, name in sorted(rows, key=lambda row: -int(row[1]))[:8]:
        print(f"  {int(whole) / 1000:7.1f} ms with its own imports, {int(own.split(':')[1]) / 1000:6.1f} alone {name}")


if __name__ == "__main__":
    main()
