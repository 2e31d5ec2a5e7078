"""How long 10 km of creek takes on both banks, and what 200 random meanders save.

Run: python tests/bench/setback.py [METRES] [MEANDERS]
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from meanders import meander
from setback_checks import assert_in_band

from planner.alignment.setback_line import setback_line


def long_creek(metres: float) -> None:
    """Times both banks of one long creek."""
    stream = meander(1, length_m=metres)
    began, spent = time.perf_counter(), time.process_time()
    lines = setback_line([stream], setback_m=20.0, give_m=25.0, bank="both", baseline="edge").lines
    print(f"{stream.length:.0f} m, both banks: {time.perf_counter() - began:.1f} s "
          f"({time.process_time() - spent:.1f} s of processor)")
    for line in lines:
        follow = "no edge to follow" if line.follow is None else f"{line.follow.cost:,.0f} following the edge"
        print(f"  {line.bank}: {line.figures.corners} corners, {line.figures.cost:,.0f}; {follow}; "
              f"{line.fineness.legs} legs, proven {line.fineness.proven}")
        assert_in_band(line, stream, near_m=20.0, give_m=25.0)


def many_meanders(count: int) -> None:
    """Checks random meanders of 1.5 km and prints what they save."""
    costs, follows, corners = [], [], []
    for seed in range(count):
        stream = meander(seed)
        line = setback_line([stream], setback_m=20.0, give_m=25.0, bank="left" if seed % 2 else "right",
                            baseline="edge").lines[0]
        assert_in_band(line, stream, near_m=20.0, give_m=25.0)
        costs.append(line.figures.cost)
        follows.append(np.nan if line.follow is None else line.follow.cost)
        corners.append(line.figures.corners)
    saved = 1.0 - np.array(costs) / np.array(follows)
    print(f"{count} meanders: cost {np.percentile(costs, [5, 50, 95]).round(0)}, following the edge "
          f"{np.nanpercentile(follows, [5, 50, 95]).round(0)}, "
          f"saved {np.nanpercentile(saved, [0, 5, 50, 95]).round(3)}, "
          f"corners {np.percentile(corners, [5, 50, 95])}, no edge to follow {int(np.isnan(follows).sum())}")


if __name__ == "__main__":
    long_creek(float(sys.argv[1]) if len(sys.argv) > 1 else 10_000.0)
    many_meanders(int(sys.argv[2]) if len(sys.argv) > 2 else 200)
