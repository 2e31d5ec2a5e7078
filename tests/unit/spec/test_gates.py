import pytest

from planner.errors import BadFenceType, OutOfRange
from planner.shipped import resources
from planner.spec.catalogue import load_catalogue
from planner.spec.gates import choose_gate, gate_gap_m

ITEMS = load_catalogue(own_folder=resources() / "fences").items


@pytest.mark.parametrize(
    ("opening_m", "key"),
    [(3.6, "gate-3600"), (3.595, "gate-3600"), (3.59, "gate-3000"), (4.0, "gate-3600"), (4.2, "gate-4200"),
     (1.2, "gate-1200"), (12.0, "gate-7200")],
)
def test_the_widest_that_goes_in(opening_m: float, key: str) -> None:
    assert choose_gate(opening_m, ITEMS).key == key


def test_what_stays_open() -> None:
    assert gate_gap_m(4.0, ITEMS["gate-3600"]) == pytest.approx(0.4)
    assert gate_gap_m(3.597, ITEMS["gate-3600"]) == 0.0


def test_an_opening_too_narrow() -> None:
    with pytest.raises(OutOfRange, match=r"no gate goes into an opening of 1\.10 m; the narrowest is 1\.20 m"):
        choose_gate(1.1, ITEMS)


def test_no_gates_at_all() -> None:
    with pytest.raises(BadFenceType, match="no gate in the item list"):
        choose_gate(3.6, {})
