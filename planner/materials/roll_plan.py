"""Roll and coil plan: which rolls to buy, and where to cut each."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from planner.errors import OutOfRange
from planner.materials.roll_bound import joined_bound, whole_bound
from planner.materials.roll_exact import exact_layout
from planner.materials.roll_layout import Laid, lay_group, lay_in_order, shortest_pieces
from planner.materials.roll_search import EXACT_MOST, Grouping, best_partition, filled_groups
from planner.materials.roll_settle import Chains
from planner.materials.roll_stock import PER_M, Stock, micrometres, stock_of
from planner.materials.roll_whole import split_long, whole_rolls
from planner.units import Metre

_DIRECT_MOST = 6


@dataclass(frozen=True, slots=True)
class RollDemand:
    """A length of one item to be covered without a needless join.

    Attributes:
        section: Section id.
        part: What it is in that section, such as ``sub-run 1`` or ``top barb``.
        from_m: Chainage where it starts. [m]
        to_m: Chainage where it ends. [m]
        length_m: Length to cover, tails included. [m]
        allowed_m: Distances from its start at which a roll join may be made; None when anywhere. [m]
    """

    section: str
    part: str
    from_m: Metre
    to_m: Metre
    length_m: Metre
    allowed_m: tuple[Metre, ...] | None = None


@dataclass(frozen=True, slots=True)
class Cut:
    """One piece cut from a roll.

    Attributes:
        demand: Index of the demand it covers.
        section: Section id.
        part: What it is in that section.
        start_m: Distance from the start of the demand at which the piece begins. [m]
        length_m: Length of the piece. [m]
        from_m: Chainage at which it begins. [m]
        to_m: Chainage at which it ends. [m]
    """

    demand: int
    section: str
    part: str
    start_m: Metre
    length_m: Metre
    from_m: Metre
    to_m: Metre


@dataclass(frozen=True, slots=True)
class Roll:
    """One roll or coil, and the pieces cut from it in order.

    Attributes:
        stock: Number of the roll in the plan of its item, from 1.
        item: Item key.
        length_m: Length as bought. [m]
        cuts: Pieces, in the order they come off.
        left_m: What is left on it. [m]
    """

    stock: int
    item: str
    length_m: Metre
    cuts: tuple[Cut, ...]
    left_m: Metre


@dataclass(frozen=True, slots=True)
class RollPlan:
    """The roll plan of one item, with its proof.

    Attributes:
        item: Item key.
        rolls: Rolls to buy, in order of use.
        joins: Number of joins inside demands.
        cost: Stock cost plus join cost plus unusable offcut, in the plan's own money.
        bound: No plan can cost less.
        gap: (cost - bound) / bound.
        status: ``optimal``, ``within the gap`` or ``greedy``.
        unsettled: Demand and distance from its start [m] of each roll join that is not at an allowed place; filled by
            ``settle_joins``.
        min_useful_m: Shortest offcut worth keeping, as planned for. [m]
        offcut_cost_per_m: Cost of a metre of offcut too short to keep, as planned for.
    """

    item: str
    rolls: tuple[Roll, ...]
    joins: int
    cost: float
    bound: float
    gap: float
    status: str
    unsettled: tuple[tuple[int, Metre], ...] = ()
    min_useful_m: Metre = 0.0
    offcut_cost_per_m: float = 0.0


def plan_rolls(demands: Sequence[RollDemand], *, item: str, stock: Mapping[Metre, float], join_cost: float,
               min_useful_m: Metre, joins_allowed: bool, seconds: float, offcut_cost_per_m: float) -> RollPlan:
    """The cheapest rolls found that cover every demand, with a bound that no plan can undercut.

    Each demand is covered exactly. A piece is never shorter than a useful offcut, unless its demand is, or unless the
    rolls are too short for that. No more rolls are bought than unrolling the cheapest mix of rolls in order would
    need (``greedy_rolls``), and never fewer than the total over the longest roll. The same input gives the same plan:
    the work is limited by a number of tries, not by the clock.

    Args:
        demands: Lengths to cover.
        item: Item key, for the record.
        stock: Roll length to its price, in any one money. [m]
        join_cost: Cost of one join inside a demand, in that money.
        min_useful_m: Shortest offcut that is kept; a shorter one is paid for again at ``offcut_cost_per_m``. [m]
        joins_allowed: False when a demand may be joined only where it is longer than the longest roll.
        seconds: Sets the number of tries; more than 2 changes nothing.
        offcut_cost_per_m: Cost of a metre of offcut too short to keep.

    Raises:
        OutOfRange: There is no roll length, or a roll length or a demand is not a positive number.

    Source:
        One-dimensional cutting stock with joins: the cost of a group of demands depends on their sum alone.
        Checked against brute force in tests/unit/materials/test_roll_plan.py.

    Example:
        >>> four = [RollDemand(str(k), "barb", 0.0, 300.0, 303.0) for k in range(4)]
        >>> plan = plan_rolls(four, item="barb", stock={500.0: 500.0}, join_cost=4.0, min_useful_m=10.0,
        ...                   joins_allowed=True, seconds=1.0, offcut_cost_per_m=1.0)
        >>> len(plan.rolls), plan.joins, plan.status
        (3, 1, 'optimal')
    """
    lengths = _checked(demands, item, stock)
    used = [k for k, d in enumerate(lengths) if d > 0]
    if not used:
        return RollPlan(item, (), 0, 0.0, 0.0, 0.0, "optimal", (), min_useful_m, offcut_cost_per_m)
    table = stock_of(stock, join_cost=join_cost, offcut_cost_per_m=offcut_cost_per_m, min_useful_m=min_useful_m,
                     total=sum(lengths))
    some = [lengths[k] for k in used]
    laid, bound, status = (_joined if joins_allowed else _whole)(some, table, seconds)
    laid = [(roll, [(used[k], piece) for k, piece in pieces]) for roll, pieces in laid]
    rolls = _rolls_of(laid, demands, item)
    joins = sum(len(pieces) for _, pieces in laid) - len(used)
    cost = _cost(laid, table, joins)
    bound = min(bound, cost)
    gap = (cost - bound) / bound if bound > 0 else 0.0
    proved = cost - bound <= 1e-9 * max(1.0, cost)
    return RollPlan(item, rolls, joins, cost, bound, 0.0 if proved else gap, "optimal" if proved else status, (),
                    min_useful_m, offcut_cost_per_m)


def greedy_rolls(demands: Sequence[RollDemand], *, stock: Mapping[Metre, float], join_cost: float,
                 min_useful_m: Metre, offcut_cost_per_m: float) -> int:
    """Rolls that unrolling in order needs: the cheapest mix that covers the total, one roll after the other.

    Args:
        demands: Lengths to cover.
        stock: Roll length to its price. [m]
        join_cost: Cost of one join.
        min_useful_m: Shortest offcut that is kept. [m]
        offcut_cost_per_m: Cost of a metre of offcut too short to keep.
    """
    total = sum(micrometres(d.length_m) for d in demands)
    table = stock_of(stock, join_cost=join_cost, offcut_cost_per_m=offcut_cost_per_m, min_useful_m=min_useful_m,
                     total=total)
    return table.buy(total).rolls if total else 0


def settle_joins(plan: RollPlan, demands: Sequence[RollDemand]) -> RollPlan:
    """The same rolls and the same lengths, with each roll join at an allowed place where the slack permits.

    The pieces of a demand are put in the order, and cut to the lengths, that leave the fewest joins elsewhere; what a
    piece gives up stays on its roll as offcut and is taken from the roll of its chain with most left over. No roll is
    added. Joins that cannot be settled stay and are listed in ``unsettled``.

    Args:
        plan: Plan of these demands.
        demands: The demands, with their allowed places.
    """
    lengths = [micrometres(d.length_m) for d in demands]
    longest = max((micrometres(r.length_m) for r in plan.rolls), default=1)
    useful = micrometres(plan.min_useful_m)
    chains = Chains(
        lengths, shortest_pieces(lengths, longest, useful),
        [None if d.allowed_m is None else sorted(micrometres(a) for a in d.allowed_m) for d in demands],
        [micrometres(r.length_m) for r in plan.rolls],
        {(k, cut.demand): micrometres(cut.length_m) for k, r in enumerate(plan.rolls) for cut in r.cuts},
        [[k for _, k in sorted((cut.start_m, k) for k, cut in cuts)] for cuts in _cuts_by_demand(plan, len(demands))])
    before = math.fsum(_lost(r, plan) for r in plan.rolls)
    chains.settle()
    rolls = tuple(_recut(k, roll, chains, demands) for k, roll in enumerate(plan.rolls))
    cost = plan.cost - before + math.fsum(_lost(r, plan) for r in rolls)
    optimal = plan.status == "optimal" and abs(cost - plan.cost) <= 1e-9 * max(1.0, cost)
    return replace(
        plan, rolls=rolls, cost=cost, gap=0.0 if optimal or plan.bound <= 0 else (cost - plan.bound) / plan.bound,
        status="optimal" if optimal else "within the gap" if plan.status == "optimal" else plan.status,
        unsettled=tuple((k, start / PER_M) for k, start in chains.unsettled()))


def _cuts_by_demand(plan: RollPlan, count: int) -> list[list[tuple[int, Cut]]]:
    cuts: list[list[tuple[int, Cut]]] = [[] for _ in range(count)]
    for k, roll in enumerate(plan.rolls):
        for cut in roll.cuts:
            cuts[cut.demand].append((k, cut))
    return cuts


def _recut(k: int, roll: Roll, chains: Chains, demands: Sequence[RollDemand]) -> Roll:
    cuts = []
    for cut in roll.cuts:
        order = chains.order[cut.demand]
        start = sum(chains.pieces[r, cut.demand] for r in order[:order.index(k)])
        cuts.append(cut_of(demands[cut.demand], cut.demand, start, chains.pieces[k, cut.demand]))
    return replace(roll, cuts=tuple(cuts), left_m=chains.left[k] / PER_M)


def _lost(roll: Roll, plan: RollPlan) -> float:
    """Cost of what is left on a roll."""
    return plan.offcut_cost_per_m * roll.left_m if roll.left_m < plan.min_useful_m else 0.0


def _checked(demands: Sequence[RollDemand], item: str, stock: Mapping[Metre, float]) -> list[int]:
    if not stock:
        raise OutOfRange("no roll length is known", where=f"item '{item}'", remedy="give it a stock length")
    for length, price in stock.items():
        if not (math.isfinite(length) and length > 0 and math.isfinite(price) and price >= 0):
            raise OutOfRange(f"a roll of {length:g} m at {price:g} cannot be planned with", where=f"item '{item}'",
                             remedy="give a length above zero and a price of zero or more")
    for d in demands:
        if not (math.isfinite(d.length_m) and d.length_m >= 0):
            raise OutOfRange(f"a length of {d.length_m:g} m cannot be covered", where=f"section {d.section}, {d.part}",
                             remedy="check the section's length")
    return [micrometres(d.length_m) for d in demands]


def _joined(lengths: list[int], table: Stock, seconds: float) -> tuple[Laid, float, str]:
    most = table.buy(sum(lengths)).rolls
    shortest = shortest_pieces(lengths, table.longest, table.useful)
    small = len(lengths) <= EXACT_MOST
    groups = best_partition(lengths, table.buy, most) if small else None
    if groups is None:
        whole = [] if max(lengths) > table.longest else [[g for _, g in whole_rolls(lengths, table)[0]]]
        groups = filled_groups(lengths, table, most, seconds, whole)
    aimed = sum(table.buy(sum(lengths[k] for k in g)).cost for g in groups)
    laid, status = _lay_all(groups, lengths, table, shortest)
    bound = aimed if small else joined_bound(lengths, table, most_rolls=most, known=aimed)
    cost = _cost(laid, table, sum(len(p) for _, p in laid) - len(lengths))
    short = any(piece < shortest[k] for _, pieces in laid for k, piece in pieces)
    if len(lengths) <= _DIRECT_MOST and (short or cost > aimed + 1e-9 * max(1.0, aimed)):
        better, proved = exact_layout(lengths, table, shortest, most_rolls=most, known=math.inf if short else cost,
                                      bound=aimed)
        laid = better or laid
        if proved and (better or not short):
            bound = _cost(laid, table, sum(len(p) for _, p in laid) - len(lengths))
            status = "within the gap"
    return laid, bound, status


def _lay_all(groups: Grouping, lengths: list[int], table: Stock, shortest: list[int]) -> tuple[Laid, str]:
    """Every group on its rolls; groups that cannot be cut without a short piece are laid together with others."""
    done: list[tuple[list[int], Laid]] = []
    stuck: list[int] = []
    for group in groups:
        laid = _lay_one(group, lengths, table, shortest)
        if laid is None:
            stuck += group
        else:
            done.append((group, laid))
    while stuck:
        laid = _lay_one(stuck, lengths, table, shortest)
        if laid is not None:
            done.append((stuck, laid))
            break
        if not done:
            return _last_resort(sorted(stuck), lengths, table)
        done.sort(key=lambda each: (-len(each[0]), min(each[0])))
        stuck = stuck + done.pop(0)[0]
    done.sort(key=lambda each: min(each[0]))
    return [roll for _, laid in done for roll in laid], "within the gap"


def _last_resort(stuck: list[int], lengths: list[int], table: Stock) -> tuple[Laid, str]:
    """Demands that no cutting without short pieces covers: each in one piece where that takes no more rolls."""
    rolls = _bought(stuck, lengths, table)
    if max(lengths[k] for k in stuck) <= table.longest:
        bins, _ = whole_rolls([lengths[k] for k in stuck], table)
        if len(bins) <= len(rolls):
            whole = [(roll, [(stuck[i], lengths[stuck[i]]) for i in sorted(group)]) for roll, group in bins]
            return whole, "within the gap"
    return lay_in_order(stuck, rolls, lengths), "greedy"


def _bought(group: Sequence[int], lengths: Sequence[int], table: Stock) -> list[int]:
    counts = table.buy(sum(lengths[k] for k in group)).counts
    return [length for length, n in zip(table.lengths, counts, strict=True) for _ in range(n)]


def _lay_one(group: Sequence[int], lengths: Sequence[int], table: Stock, shortest: Sequence[int]) -> Laid | None:
    rolls = _bought(group, lengths, table)
    return lay_group(group, rolls, lengths, shortest, sum(rolls) - sum(lengths[k] for k in group))


def _whole(lengths: list[int], table: Stock, seconds: float) -> tuple[Laid, float, str]:
    full, pieces = split_long(lengths, table)
    values = [piece for _, piece in pieces]
    bins, exact = whole_rolls(values, table)
    laid: Laid = [*full, *((roll, [pieces[k] for k in group]) for roll, group in bins)]
    laid.sort(key=lambda each: (min(k for k, _ in each[1]), -each[0]))
    if full:
        forced = sum(-(-d // table.longest) - 1 for d in lengths)
        rate = min(p / a for p, a in zip(table.prices, table.lengths, strict=True))
        bound = rate * sum(lengths) + table.join * forced
    elif exact:
        bound = _cost(laid, table, 0)
    else:
        bound = whole_bound(values, table)
    return laid, bound, "within the gap"


def _cost(laid: Laid, table: Stock, joins: int) -> float:
    prices = dict(zip(table.lengths, table.prices, strict=True))
    return math.fsum([*(prices[roll] for roll, _ in laid), table.join * joins,
                      *(table.penalty(roll - sum(p for _, p in pieces)) for roll, pieces in laid)])


def _rolls_of(laid: Laid, demands: Sequence[RollDemand], item: str) -> tuple[Roll, ...]:
    starts = [0] * len(demands)
    rolls = []
    for number, (length, pieces) in enumerate(laid, start=1):
        cuts = []
        for k, piece in pieces:
            cuts.append(cut_of(demands[k], k, starts[k], piece))
            starts[k] += piece
        left = length - sum(piece for _, piece in pieces)
        rolls.append(Roll(number, item, length / PER_M, tuple(cuts), left / PER_M))
    return tuple(rolls)


def cut_of(demand: RollDemand, index: int, start: int, piece: int) -> Cut:
    """The record of one piece, with its chainages interpolated along its demand.

    Args:
        demand: The demand it covers a part of.
        index: Index of that demand.
        start: Distance from the demand's start. [micrometre]
        piece: Its length. [micrometre]
    """
    share = (demand.to_m - demand.from_m) / max(micrometres(demand.length_m), 1)
    end = start + piece
    to_m = demand.to_m if end == micrometres(demand.length_m) else demand.from_m + share * end
    return Cut(index, demand.section, demand.part, start / PER_M, piece / PER_M, demand.from_m + share * start, to_m)
