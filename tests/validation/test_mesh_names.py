"""Names of meshes: NSW South East Local Land Services field day 2017 (6/70/30, 8/90/30), Hampshire County Council
livestock fencing sheet (B8/80/15, HT8/80/15), extension text in Ozarks Farm and Neighbor, 4 May 2009 (1047-12-11 is 10
line wires, 47 inches, stays 12 inches apart, 11 gauge filler), Tasmania DPIPWE deer fencing 2012 (17/190/15 with a
plain wire above makes 2.0 m).

The gaps of single wires are from memory, not looked up: ASTM A116 designs in inches, Australian 8/90/30 and 8/80/15 in
millimetres. They are held against the printed names here.
"""

from itertools import accumulate

import pytest
from unit.loads.fence_of import fence_of, mesh_of

from planner.errors import BadFenceType
from planner.spec.mesh_names import MeshName, parse_mesh_name
from planner.units import INCH_M, KGF_N


@pytest.mark.parametrize(("text", "expected"), [
    ("8/90/30", MeshName(8, 0.90, 0.30)), ("6/70/30", MeshName(6, 0.70, 0.30)), ("17/190/15", MeshName(17, 1.90, 0.15)),
    ("B8/80/15", MeshName(8, 0.80, 0.15, "B")), (" ht8/80/15 ", MeshName(8, 0.80, 0.15, "HT")),
    ("HT 8/80/30", MeshName(8, 0.80, 0.30, "HT"))])
def test_metric_names(text: str, expected: MeshName) -> None:
    assert parse_mesh_name(text) == expected


@pytest.mark.parametrize(("text", "wires", "inches"), [
    ("1047-12-11", 10, 47), ("726-12-11", 7, 26), ("832-12-11", 8, 32), ("939-12-11", 9, 39), ("1155-12-11", 11, 55)])
def test_the_last_number_of_an_inch_name_is_a_gauge(text: str, wires: int, inches: int) -> None:
    name = parse_mesh_name(text)
    assert (name.line_wires, name.filler_gauge) == (wires, 11)
    assert name.height_m == pytest.approx(inches * INCH_M)
    assert name.picket_spacing_m == pytest.approx(12 * INCH_M)


@pytest.mark.parametrize(("text", "gaps_in"), [
    ("726-12-11", 6), ("832-12-11", 7), ("939-12-11", 8), ("1047-12-11", 9), ("1155-12-11", 10)])
def test_remembered_inch_gaps_sum_to_the_name(text: str, gaps_in: int) -> None:
    gaps = (3, 3.5, 4, 4.5, 5, 5.5, 6, 7, 8, 9)[:gaps_in]
    name = parse_mesh_name(text)
    assert len(gaps) + 1 == name.line_wires
    assert list(accumulate(gaps))[-1] == pytest.approx(name.height_m / INCH_M, abs=0.5)


@pytest.mark.parametrize(("text", "gaps_mm"), [
    ("8/90/30", (102, 102, 114, 127, 140, 152, 165)), ("8/80/15", (102, 102, 102, 114, 114, 127, 140))])
def test_remembered_metric_gaps_sum_to_the_name(text: str, gaps_mm: tuple[float, ...]) -> None:
    name, mesh = parse_mesh_name(text), mesh_of(gaps_mm)
    assert mesh.line_wires == name.line_wires
    assert mesh.height_m == pytest.approx(name.height_m, abs=0.015)


def test_pull_of_a_mesh_is_that_of_its_line_wires() -> None:
    assert fence_of(mesh=mesh_of(strain_n=110 * KGF_N)).pull_n == pytest.approx(8 * 110 * KGF_N)


def test_deer_mesh_and_the_wire_above_it_make_two_metres() -> None:
    assert parse_mesh_name("17/190/15").height_m + 0.10 == pytest.approx(2.0)


@pytest.mark.parametrize("text", [
    "", "mesh", "8/90", "1/90/30", "8/00/30", "8/90/0", "147-12-11", "8-90-30", "8/90/30/2"])
def test_what_is_no_name_is_refused_and_shown(text: str) -> None:
    with pytest.raises(BadFenceType, match=f"mesh '{text}'.*8/90/30"):
        parse_mesh_name(text)
