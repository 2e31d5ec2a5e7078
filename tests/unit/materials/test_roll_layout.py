"""Laying many demands on rolls: queues of alike demands give what looking at every demand gives."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from planner.materials.roll_layout import _lay_many, _Search, shortest_pieces, split_pieces


def plain_lay(demands, rolls, lengths, shortest, slack):
    """Each demand looked at, each fresh roll told apart."""
    left, fresh, room, laid = list(demands), list(rolls), 0, []
    while len(left) > 5:
        few = [length for length in dict.fromkeys(fresh) for _ in range(min(fresh.count(length), 40))]
        ways = [(k, *way) for k in left
                for way in ([(lengths[k], [], [], room - lengths[k])] if room >= lengths[k]
                            else split_pieces(lengths[k], room, few, shortest[k], 0))]
        if not ways:
            return None
        good = [way for way in ways if way[4] == 0 or way[4] >= max(shortest)]
        k, first, used, pieces, room = (good or ways)[0]
        left.remove(k)
        if first:
            laid[-1][1].append((k, first))
        for roll, piece in zip(used, pieces, strict=True):
            laid.append((roll, [(k, piece)]))
            fresh.remove(roll)
    return _Search(lengths, shortest, slack).lay(left, fresh, room, laid)


@settings(max_examples=50, deadline=None)
@given(st.lists(st.sampled_from([7, 60, 61, 97, 140, 333, 900]), min_size=6, max_size=30),
       st.lists(st.sampled_from([50, 100, 183]), min_size=1, max_size=3), st.sampled_from([1, 10, 30]), st.randoms())
def test_alike_demands_are_laid_as_if_each_were_looked_at(lengths, stock, useful, dice):
    rolls = list(stock)
    while sum(rolls) < sum(lengths):
        rolls.append(dice.choice(stock))
    demands = list(range(len(lengths)))
    dice.shuffle(demands)
    shortest = shortest_pieces(lengths, max(rolls), useful)
    slack = dice.choice([0, sum(rolls) - sum(lengths)])
    assert _lay_many(demands, rolls, lengths, shortest, slack) == plain_lay(demands, rolls, lengths, shortest, slack)
