"""How near roll plans come to their bound, and how long they take.

Run: python tests/bench/roll_plan.py
"""

from __future__ import annotations

import random
import time
from collections.abc import Mapping, Sequence

from planner.materials.roll_plan import RollDemand, plan_rolls, settle_joins

STOCKS: tuple[tuple[Mapping[float, float], float], ...] = (
    ({200.0: 360.0}, 8.0), ({100.0: 190.0}, 8.0), ({50.0: 100.0, 100.0: 190.0, 200.0: 360.0}, 8.0),
    ({50.0: 70.0, 100.0: 150.0, 200.0: 320.0}, 8.0), ({200.0: 200.0, 100.0: 100.0, 50.0: 50.0}, 4.0),
    ({402.3: 402.3}, 4.0), ({183.0: 183.0, 100.6: 100.6}, 4.0))
COILS: tuple[Mapping[float, float], ...] = ({500.0: 500.0}, {648.0: 648.0, 1500.0: 1500.0}, {1500.0: 1500.0})


def run(title: str, lengths: Sequence[float], stock: Mapping[float, float], join_cost: float,
        joins: bool = True) -> None:
    """Plans one item, settles its joins, and prints a line."""
    demands = [RollDemand(f"A{k}", "part", 0.0, d, d, tuple(2.5 + 5.0 * j for j in range(1, int(d / 5) - 1)))
               for k, d in enumerate(lengths)]
    started = time.perf_counter()
    plan = plan_rolls(demands, item="item", stock=stock, join_cost=join_cost, min_useful_m=10.0, joins_allowed=joins,
                      seconds=2.0, offcut_cost_per_m=max(p / a for a, p in stock.items()))
    planned = time.perf_counter() - started
    settled = settle_joins(plan, demands)
    took = time.perf_counter() - started
    print(f"{title:34} {len(demands):5} demands {len(plan.rolls):5} rolls {plan.joins:5} joins  gap {plan.gap:8.3%}  "
          f"{plan.status:15} {planned:5.2f} s + {took - planned:4.2f} s, {len(settled.unsettled)} not at mid-panel")


def main() -> None:
    """Mesh by sub-run, wire strand by strand, with joins and without."""
    for number in (5, 10, 50, 200, 400):
        dice = random.Random(number)
        lengths = [round(dice.uniform(25.0, 250.0), 2) for _ in range(number)]
        for stock, join_cost in STOCKS:
            run(f"mesh {'/'.join(f'{a:g}' for a in stock)}", lengths, stock, join_cost)
    for number in (200, 375):
        dice = random.Random(number)
        lengths = [round(dice.uniform(25.0, 450.0), 2) for _ in range(number)] * 8
        for stock in COILS:
            for joins in (True, False):
                title = f"8 wires {'/'.join(f'{a:g}' for a in stock)}{'' if joins else ', no joins'}"
                run(title, lengths, stock, 4.0, joins)


if __name__ == "__main__":
    main()
