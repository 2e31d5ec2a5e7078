"""Trees that can fall on a line, and trees at its ends."""

import pytest
from unit.surroundings.ground_jobs import fence, found, job_of, thing

LINE = fence((0, 0), (400, 0))


@pytest.mark.parametrize(("off", "told"), [(12.01, 0), (12.0, 0), (11.99, 1)])
@pytest.mark.parametrize(("state", "rule"), [("dead or dead limbs", "tree-01"), ("sound", "tree-02")])
def test_a_tree_falls_as_far_as_it_is_high(off: float, told: int, state: str, rule: str):
    tree = thing("trees", f"POINT (200 {off})", "gum", height="12", state=state)
    job = job_of([LINE], [tree])
    assert len(found(job, rule)) == told
    assert not found(job, "tree-02" if rule == "tree-01" else "tree-01")


def test_trees_are_counted_and_the_nearest_named():
    trees = [thing("trees", f"POINT ({x} {off})", name, state="dead or dead limbs")
             for x, off, name in ((50, 9, "a"), (150, 4, "b"), (250, 14, "c"))]
    (finding,) = found(job_of([LINE], trees), "tree-01")
    assert "3 trees" in finding.message
    assert "nearest 'b' 4.0 m off at 150.0 m" in finding.message


@pytest.mark.parametrize(("x", "told"), [(-1.01, 0), (-1.0, 0), (-0.99, 1), (200.0, 0)])
def test_no_strainer_at_a_tree(x: float, told: int):
    assert len(found(job_of([LINE], [thing("trees", f"POINT ({x} 0)")]), "tree-03")) == told
