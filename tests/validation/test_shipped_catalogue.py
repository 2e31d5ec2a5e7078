"""The shipped catalogue against published figures. Each source stands beside its check.

- The Press (Christchurch), 18 April 1980 and 1 June 1984: wire masses, coils and breaking load
  (NZ Agricultural Engineering Institute; NZ Ministry of Agriculture and Fisheries).
- B.C. Ministry of Agriculture, Fencing Factsheet 307.100-1 (2015): soft barbed wire.
- NRCS Mississippi 382 (2000): barbed wire heights. NRCS Maine 382 (2014): barbed wire not electrified.
- Tasmania DPIPWE, Fencing Specification Guidelines (Deer), January 2012.
- New Zealand Fencing Act 1978, schedule: seven- and eight-wire fences.
- Iowa State University Extension (W. Edwards, 2012): woven wire, one barbed strand, 1320 ft.
- BTCV Fencing handbook, chapter 590: lifting dug and driven posts; 100 kgf a line wire.
- Mesh line-wire gaps marked "memory" below are from memory, not looked up.
"""

import math
from itertools import pairwise

import pytest

from planner.shipped import resources
from planner.spec.catalogue import load_catalogue
from planner.units import FOOT_M, INCH_M, POUND_FORCE_N, POUND_KG

CATALOGUE = load_catalogue(own_folder=resources() / "fences")
FENCES, ITEMS = CATALOGUE.fences, CATALOGUE.items


def heights_mm(key: str) -> list[float]:
    return [s.height_m * 1000 for s in FENCES[key].strands]


@pytest.mark.parametrize(("item", "kg_per_km"), [("plain-wire-ht", 38.58), ("plain-wire-soft", 98.81)])
def test_wire_masses_press_1984(item: str, kg_per_km: float) -> None:
    assert ITEMS[item].mass_kg is not None
    assert ITEMS[item].mass_kg * 1000 == pytest.approx(kg_per_km, rel=0.005)


@pytest.mark.parametrize(("item", "coil_m"), [("plain-wire-ht", 648), ("plain-wire-soft", 253)])
def test_coils_of_25_kg_press_1980(item: str, coil_m: float) -> None:
    assert coil_m in ITEMS[item].stock_m
    assert ITEMS[item].mass_kg is not None
    assert 25 / ITEMS[item].mass_kg == pytest.approx(coil_m, abs=1.0)


def test_breaking_load_press_1980() -> None:
    wire = ITEMS["plain-wire-ht"].wire
    assert wire is not None
    assert wire.breaking_n == pytest.approx(6650)


def test_soft_barbed_wire_bc_307_100_1() -> None:
    barbed = ITEMS["barbed-wire-soft"]
    assert barbed.mass_kg == pytest.approx(80 * POUND_KG / (1320 * FOOT_M), rel=0.005)
    assert barbed.stock_m == (pytest.approx(1320 * FOOT_M, abs=0.1),)
    assert barbed.wire is not None
    assert barbed.wire.breaking_n == pytest.approx(950 * POUND_FORCE_N, rel=0.005)
    assert barbed.wire.diameter_m == pytest.approx(0.099 * INCH_M, rel=0.001)


def test_five_barbed_wires_nrcs_mississippi() -> None:
    # 10 in, then every 10 in: 254, 508, 762, 1016, 1270 mm; rounded to the nearest 10 mm on the fence
    assert heights_mm("cattle-barbed-5") == pytest.approx([10 * n * INCH_M * 1000 for n in range(1, 6)], abs=8)


def test_deer_fence_tasmania() -> None:
    deer = FENCES["deer-mesh"]
    assert deer.mesh is not None
    assert deer.mesh.item == "mesh-17-190-15"
    assert deer.height_m == pytest.approx(2.0)
    assert 0.10 <= deer.height_m - deer.mesh.gap_below_m - deer.mesh.height_m <= 0.15
    assert deer.posts.embedment_m == 1.0
    assert deer.height_m + deer.posts.head_m + deer.posts.embedment_m == pytest.approx(3.0)
    assert deer.posts.spacing_m <= 10.0


def test_seven_wires_fencing_act_1978() -> None:
    fence = FENCES["post-and-batten-7"]
    assert len(fence.strands) == 7
    assert fence.height_m >= 1.0
    assert fence.posts.spacing_m <= 5.0
    assert fence.posts.droppers_per_panel >= 3
    assert heights_mm("post-and-batten-7")[0] <= 125
    # The schedule wants the next gaps up to 125 mm too. This row does not keep that, and has to say so.
    gaps = [b - a for a, b in pairwise(heights_mm("post-and-batten-7"))]
    assert [g <= 125 for g in gaps[:3]] == [True, False, False]
    assert any("Fencing Act 1978" in c and "120, 130 and 150 mm" in c for c in fence.cautions)


def test_iowa_quarter_mile_of_woven_wire_takes_42_hours() -> None:
    fence = FENCES["woven-mesh-barbed"]
    length = 1320 * FOOT_M
    panels = math.ceil(length / fence.posts.spacing_m)
    assert panels == 110  # 1320 / 12, the published count of line posts, steel and timber in turn
    rates, posts = fence.labour, panels - 1
    assert fence.max_strain_flat_m >= length
    hours = length * (rates.set_out_per_m + rates.mesh_per_m + rates.strand_per_m) + 2 * (rates.end + rates.tie_off)
    hours += 55 * rates.timber_post + (posts - 55) * rates.steel_post + posts * rates.fixing_per_post
    hours += (math.ceil(length / ITEMS["mesh-10-118-30"].stock_m[0]) - 1) * rates.roll_join
    assert hours == pytest.approx(42, abs=1.0)


@pytest.mark.parametrize(("ground", "uplift_kgf"), [("soil", 900), ("dug", 90)])
def test_lifting_posts_btcv(ground: str, uplift_kgf: float) -> None:
    assert CATALOGUE.grounds[ground].uplift_n == pytest.approx(uplift_kgf * 9.80665)


@pytest.mark.parametrize(
    ("key", "gaps_mm"),
    [
        ("general-mesh", [102, 102, 114, 127, 140, 152, 165]),        # memory
        ("lamb-and-goat-mesh", [102, 102, 102, 114, 114, 127, 140]),  # memory
        ("woven-mesh-barbed", [n * 25.4 for n in (3, 3.5, 4, 4.5, 5, 5.5, 6, 7, 8)]),  # memory
    ],
)
def test_mesh_gaps_from_memory(key: str, gaps_mm: list[float]) -> None:
    mesh = FENCES[key].mesh
    assert mesh is not None
    assert [(b - a) * 1000 for a, b in pairwise(mesh.line_wire_heights_m)] == pytest.approx(gaps_mm, abs=0.5)


def test_no_live_wire_is_barbed_nrcs_maine() -> None:
    for fence in FENCES.values():
        kinds = {s.kind for s in fence.strands}
        assert not {"barbed", "hot"} <= kinds
        assert all(ITEMS[s.item].family != "barbed-wire" for s in fence.strands if s.kind in ("hot", "earth", "poly"))
