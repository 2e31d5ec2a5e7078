"""Who gets where: land joined by gates as a graph, and the ways with the fewest gates through it."""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Callable, Collection, Iterable, Mapping

from planner.surroundings.gateways import Gateway


def ways_to(goals: Collection[int], gates: Iterable[Gateway], *,
            may_pass: Callable[[int], bool] = lambda _: True) -> dict[int, tuple[Gateway, ...]]:
    """From every piece of land the way with the fewest gates to the nearest of some goals.

    Args:
        goals: Numbers of the land to get to.
        gates: The gates, with the land on their sides.
        may_pass: Whether a way may lead on through a piece of land that is neither its start nor its goal.

    Returns:
        Land to the gates of its way, in the order in which they are passed; land from which there is none is not in it.
    """
    joined = _joined(gates)
    ways: dict[int, tuple[Gateway, ...]] = dict.fromkeys(sorted(goals), ())
    queue = deque(ways)
    while queue:
        land = queue.popleft()
        if ways[land] and not may_pass(land):
            continue
        for beyond, gate in joined.get(land, ()):
            if beyond not in ways:
                ways[beyond] = (gate, *ways[land])
                queue.append(beyond)
    return ways


def together(lands: Iterable[int], gates: Iterable[Gateway]) -> list[list[int]]:
    """Pieces of land in groups that gates join, each group in the order in which they were given.

    Args:
        lands: Numbers of the land; others are passed through but not given.
        gates: The gates.
    """
    joined = _joined(gates)
    wanted = list(dict.fromkeys(lands))
    group_of: dict[int, int] = {}
    for number, start in enumerate(wanted):
        if start in group_of:
            continue
        group_of[start] = number
        queue = deque([start])
        while queue:
            for beyond, _ in joined.get(queue.popleft(), ()):
                if beyond not in group_of:
                    group_of[beyond] = number
                    queue.append(beyond)
    groups: defaultdict[int, list[int]] = defaultdict(list)
    for land in wanted:
        groups[group_of[land]].append(land)
    return list(groups.values())


def _joined(gates: Iterable[Gateway]) -> Mapping[int, list[tuple[int, Gateway]]]:
    found: defaultdict[int, list[tuple[int, Gateway]]] = defaultdict(list)
    for gate in gates:
        a, b = gate.sides
        if a != b:
            found[a].append((b, gate))
            found[b].append((a, gate))
    return found
