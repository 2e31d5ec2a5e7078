"""Box ends and stayed ends by statics: posts hinged at the ground, pull P at height y, rail at h, length L.

Rail P y / h, brace wire that times sqrt(1 + (h/L)^2), uplift of the end post P y / L; a stay with its foot at
distance b lifts by P y / b. 11.12 kN is the 2,500 lb in cold weather of B.C. factsheet 307.220-1 (2015). Values to
0.5 %.
"""

from dataclasses import replace

import pytest
from unit.loads.fence_of import ASSEMBLIES, fence_of, strand_of

from planner.errors import OutOfRange
from planner.loads.end_assembly import assembly_forces, box_forces, stay_forces

FENCE = fence_of(strand_of(0.6, 12_000))


@pytest.mark.parametrize(("pull_kn", "length_m", "rail_kn", "wire_kn", "uplift_kn"), [
    (12, 2.4, 6.545, 7.200, 3.000), (12, 2.2, 6.545, 7.318, 3.273), (12, 1.2, 6.545, 8.879, 6.000),
    (11.12, 2.4, 6.066, 6.673, 2.780)])
def test_box(pull_kn: float, length_m: float, rail_kn: float, wire_kn: float, uplift_kn: float) -> None:
    forces = box_forces(pull_kn * 1000, pull_height_m=0.6, rail_height_m=1.1, brace_length_m=length_m)
    assert forces.rail_n == pytest.approx(rail_kn * 1000, rel=0.005)
    assert forces.brace_wire_n == pytest.approx(wire_kn * 1000, rel=0.005)
    assert forces.uplift_n == pytest.approx(uplift_kn * 1000, rel=0.005)


def test_twice_the_length_lifts_half_and_thrusts_the_same() -> None:
    short, long = (box_forces(12_000, pull_height_m=0.6, rail_height_m=1.1, brace_length_m=b) for b in (1.2, 2.4))
    assert long.uplift_n == pytest.approx(short.uplift_n / 2)
    assert long.rail_n == short.rail_n


def test_forces_of_a_box_balance_at_both_posts() -> None:
    box = box_forces(12_000, pull_height_m=0.6, rail_height_m=1.1, brace_length_m=2.4)
    along, down = 2.4 / (2.4**2 + 1.1**2) ** 0.5, 1.1 / (2.4**2 + 1.1**2) ** 0.5
    assert box.rail_n * 1.1 == pytest.approx(12_000 * 0.6)                 # moments about the foot of the end post
    assert box.brace_wire_n * along == pytest.approx(box.rail_n)           # the second post's top stands still
    assert box.brace_wire_n * down == pytest.approx(box.uplift_n)          # what the wire lifts at the end post's foot


def test_stay_lifts_by_the_same_law() -> None:
    stay = stay_forces(12_000, pull_height_m=0.6, rail_height_m=1.1, brace_length_m=2.4)
    assert stay.uplift_n == pytest.approx(3000)
    assert stay.brace_wire_n == 0
    assert stay.rail_n == pytest.approx(7200, rel=0.005)  # the stay lies where the brace wire of a box would, in thrust


def test_single_box_of_a_fence_takes_its_pull_at_its_height() -> None:
    assert assembly_forces(FENCE, ASSEMBLIES["single-box"]) == box_forces(
        12_000, pull_height_m=0.6, rail_height_m=1.1, brace_length_m=2.4)


def test_second_span_halves_brace_wire_and_uplift_only() -> None:
    # McKenzie and Currier, USDA San Dimas: a second brace takes half the load
    single, double = (assembly_forces(FENCE, ASSEMBLIES[key]) for key in ("single-box", "double-box"))
    assert double.brace_wire_n == pytest.approx(single.brace_wire_n / 2)
    assert double.uplift_n == pytest.approx(single.uplift_n / 2)
    assert double.rail_n == single.rail_n


def test_second_stay_on_one_post_halves_the_thrust_but_lifts_as_much() -> None:
    one, two = (assembly_forces(FENCE, replace(ASSEMBLIES["stay"], spans=n)) for n in (1, 2))
    assert two.rail_n == pytest.approx(one.rail_n / 2)
    assert two.uplift_n == one.uplift_n


@pytest.mark.parametrize("form", ["post", "hand"])
def test_unbraced_end_has_no_brace_forces(form: str) -> None:
    forces = assembly_forces(FENCE, replace(ASSEMBLIES["post"], form=form))  # type: ignore[arg-type]
    assert (forces.rail_n, forces.brace_wire_n, forces.uplift_n) == (0, 0, 0)


@pytest.mark.parametrize(("height_m", "length_m"), [(0.0, 2.4), (1.1, 0.0)])
def test_brace_without_size_is_refused(height_m: float, length_m: float) -> None:
    with pytest.raises(OutOfRange, match="braces nothing"):
        box_forces(12_000, pull_height_m=0.6, rail_height_m=height_m, brace_length_m=length_m)


def test_braced_end_without_spans_is_refused() -> None:
    with pytest.raises(OutOfRange, match="single-box"):
        assembly_forces(FENCE, replace(ASSEMBLIES["single-box"], spans=0))
