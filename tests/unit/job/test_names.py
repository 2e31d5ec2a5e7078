from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from planner.job.names import Names

WORDS = st.sampled_from(["Hill", "Hill (2)", "Hill (3)", "Hill (2) (2)", "Creek", ""])


@given(st.sets(WORDS), st.lists(WORDS, max_size=12))
def test_names_are_those_that_trying_every_number_gives(taken: set[str], wanted: list[str]):
    names, known = Names(taken), set(taken)
    for name in wanted:
        expected, number = name, 2
        while expected in known:
            expected, number = f"{name} ({number})", number + 1
        assert names.own(name) == expected
        known.add(expected)
