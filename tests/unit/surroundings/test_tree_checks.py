"""Trees that can fall on a line, and trees at its ends."""

import pytest
from unit.surroundings.ground_jobs import fence, found, job_of, rules, thing

LINE = fence((0, 0), (400, 0))


@pytest.mark.rules(fires="tree-01 tree-02", limit="tree-01 tree-02")
@pytest.mark.parametrize(("state", "rule"), [("dead or dead limbs", "tree-01"), ("sound", "tree-02")])
def test_a_tree_falls_as_far_as_it_is_high(state: str, rule: str):
    trees = [thing("trees", f"POINT (200 {off})", "gum", height="12", state=state) for off in (12.01, 12.0, 11.99)]
    assert [rules(job_of([LINE], [tree]), "tree") for tree in trees] == [[], [], [rule]]


@pytest.mark.rules(silent="tree-01 tree-02 tree-03")
def test_trees_farther_off_than_they_are_high_are_no_trouble():
    trees = [thing("trees", f"POINT (200 {off})", "gum", height="12", state=state)
             for off, state in ((12, "sound"), (-13, "dead or dead limbs"))]
    assert rules(job_of([LINE], trees), "tree") == []


def test_trees_are_counted_and_the_nearest_named():
    trees = [thing("trees", f"POINT ({x} {off})", name, state="dead or dead limbs")
             for x, off, name in ((50, 9, "a"), (150, 4, "b"), (250, 14, "c"))]
    (finding,) = found(job_of([LINE], trees), "tree-01")
    assert "3 trees" in finding.message
    assert "nearest 'b' 4.0 m off at 150.0 m" in finding.message


@pytest.mark.rules(fires="tree-03", limit="tree-03")
def test_no_strainer_at_a_tree():
    told = [len(found(job_of([LINE], [thing("trees", f"POINT ({x} 0)")]), "tree-03"))
            for x in (-1.01, -1.0, -0.99, 200.0)]
    assert told == [0, 0, 1, 0]
