"""One slip put into a sound traverse, and the leg that is then named."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planner.survey.traverse import traverse
from planner.survey.traverse_legs import Leg, parse_legs
from planner.survey.traverse_suspects import Suspect

ROWS = ["N12°34'50\"E,412.36", "N78°15'20\"E,318.91", "S21°47'10\"E,540.18", "S66°02'30\"W,%.2f", "N40°00'00\"W,%.2f"]


def sound() -> list[str]:
    """The last two legs close the figure to the centimetre."""
    import numpy as np

    legs = parse_legs("\n".join(ROWS[:3])).legs
    gap = -traverse(legs, start=(0.0, 0.0), close_on=None).stations[-1]
    ahead = np.array([[np.sin(np.radians(b)), np.cos(np.radians(b))] for b in (180 + 66 + 2.5 / 60, 320.0)]).T
    fourth, fifth = np.linalg.solve(ahead, gap)
    return [*ROWS[:3], ROWS[3] % fourth, ROWS[4] % fifth]


def suspects(rows: list[str], unit: str = "m") -> tuple[Suspect, ...]:
    return traverse(parse_legs("\n".join(rows), unit=unit).legs, start=(0.0, 0.0)).suspects  # type: ignore[arg-type]


def test_a_sound_traverse_suspects_nobody() -> None:
    assert suspects(sound()) == ()


@pytest.mark.parametrize(("leg", "wrong", "kind", "instead"), [
    (1, "N12°34'50\"E,421.36", "swapped digits in the distance", "412.36"),
    (3, "S21°47'10\"E,504.18", "swapped digits in the distance", "540.18"),
    (3, "S21°47'10\"E,550.18", "distance", "540.18"),
    (2, "S78°15'20\"W,318.91", "run backwards", "78°15'20\""),
    (2, "N87°15'20\"E,318.91", "swapped digits in the bearing", "N78°15'20\"E"),
    (2, "N78°15'20\"W,318.91", "wrong quadrant", "N78°15'20\"E"),
    (3, "N21°47'10\"E,540.18", "wrong quadrant", "S21°47'10\"E"),
])
def test_a_slip_is_named(leg: int, wrong: str, kind: str, instead: str) -> None:
    rows = sound()
    rows[leg - 1] = wrong
    first = suspects(rows)[0]
    assert (first.leg, first.row, first.kind) == (leg, leg, kind)
    assert float(first.instead) == pytest.approx(float(instead), abs=0.02) if kind == "distance" \
        else first.instead == instead
    assert first.left_m < 0.05
    assert f"leg {leg} (row {leg})" in first.message
    assert first.instead in first.message


def test_figures_stand_in_the_unit_they_were_written_in() -> None:
    rows = ["0,10.00", "90,20.00", "180,10.00", "270,18.00"]
    named = {suspect.leg: suspect.instead for suspect in suspects(rows, unit="chain")}
    assert named == {2: "18.00", 4: "20.00"}


def test_a_misclose_of_one_in_two_thousand_is_not_looked_into() -> None:
    square = [Leg(bearing, 500.0) for bearing in (0.0, 90.0, 180.0, 270.0)]
    assert traverse([replace(square[0], distance_m=501.0), *square[1:]], start=(0.0, 0.0)).suspects == ()
    assert traverse([replace(square[0], distance_m=501.01), *square[1:]], start=(0.0, 0.0)).suspects != ()


def test_two_slips_are_not_explained_by_one_leg() -> None:
    rows = sound()
    rows[0], rows[2] = "N12°34'50\"E,442.36", "S21°47'10\"E,573.18"
    assert suspects(rows) == ()
