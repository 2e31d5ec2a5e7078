import math
import re
import subprocess
import sys
import tomllib
from itertools import pairwise
from pathlib import Path

import pytest

from planner.errors import BadFenceType
from planner.shipped import resources
from planner.spec.catalogue import choose_fence, load_catalogue, own_fence_folder
from planner.spec.choose_post import choose_post
from planner.spec.fence_type import FenceType

SHIPPED = load_catalogue(own_folder=resources() / "fences")
ROW_NAMES = re.compile(r"(cb|cp|pb|sm|gp|lg|df|hp|rn|vx|e|of|rd|rl|fg|ln|te|pr)\d?", re.IGNORECASE)

# Person-hours per km on flat prepared ground, materials on site: common practice, no source.
HOURS_PER_KM = {
    "electric-1": (10, 25), "electric-2": (20, 35), "electric-5": (50, 90), "electric-7": (50, 90),
    "cattle-plain-5": (40, 80), "cattle-barbed-4": (50, 90), "general-mesh": (70, 120), "sheep-mesh": (70, 120),
    "post-and-batten-7": (120, 220), "deer-mesh": (120, 200), "exclusion-mesh": (120, 200),
    "rabbit-netting": (150, 250), "post-and-rail": (250, 500),
}

# Height of the top wire in mm, and longest strain flat and undulating in m: common practice, no source.
HEIGHT_AND_STRAIN = {
    "cattle-barbed-3": (1100, 500, 300), "cattle-barbed-4": (1150, 500, 300), "cattle-barbed-5": (1270, 400, 250),
    "cattle-plain-5": (1150, 1000, 500), "post-and-batten-7": (1140, 400, 200), "sheep-mesh": (1000, 500, 250),
    "general-mesh": (1150, 400, 250), "lamb-and-goat-mesh": (1100, 300, 150), "deer-mesh": (2000, 250, 150),
    "horse-sight-wire": (1400, 300, 200), "rabbit-netting": (1220, 100, 60), "exclusion-mesh": (1600, 500, 200),
    "electric-1": (850, 1500, 800), "electric-2": (900, 1000, 600), "electric-3": (850, 1000, 500),
    "electric-5": (900, 800, 400), "electric-7": (1050, 600, 300), "riparian-drop-wire": (850, 100, 50),
    "riparian-lay-down": (1100, 100, 50),
}


@pytest.fixture(autouse=True)
def _no_own_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv("STRAINWRIGHT_FENCES", raising=False)
    for name in ("XDG_CONFIG_HOME", "APPDATA", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / "nobody"))


def hours_on_flat_ground(fence: FenceType, length_m: float) -> float:
    """Hours of one straight flat line, counted here by hand from the components."""
    rates = fence.labour
    sections = math.ceil(length_m / fence.max_strain_flat_m)
    posts = sections * (math.ceil(length_m / sections / fence.posts.spacing_m) - 1)
    is_timber = {i.family: i.timber for i in SHIPPED.items.values()}
    timber = sum(is_timber[fence.posts.pattern[n % len(fence.posts.pattern)]] for n in range(posts))
    hours = rates.set_out_per_m * length_m + 2 * rates.end + (sections - 1) * (rates.end + rates.end_further)
    hours += timber * rates.timber_post + (posts - timber) * rates.steel_post + posts * rates.fixing_per_post
    hours += length_m * (len(fence.strands) * rates.strand_per_m + len(fence.nettings) * rates.netting_per_m)
    hours += 2 * sections * rates.tie_off
    if fence.mesh:
        rolls = math.ceil(length_m / SHIPPED.items[fence.mesh.item].stock_m[0])
        hours += length_m * rates.mesh_per_m + (rolls - 1) * rates.roll_join
    return hours


def test_at_least_twenty_types_each_from_its_own_file() -> None:
    assert len(SHIPPED.fences) >= 20
    assert sorted(SHIPPED.fences) == sorted(f.stem for f in (resources() / "fences").glob("*.toml"))


@pytest.mark.parametrize("key", SHIPPED.fences)
def test_keys_are_readable_words_not_row_names(key: str) -> None:
    first = key.split("-")[0]
    assert len(first) >= 4
    assert first.isalpha()
    assert not ROW_NAMES.fullmatch(key.replace("-", ""))


@pytest.mark.parametrize(("key", "expected"), HEIGHT_AND_STRAIN.items())
def test_heights_and_longest_strains(key: str, expected: tuple[float, float, float]) -> None:
    fence = SHIPPED.fences[key]
    assert (round(fence.height_m * 1000), fence.max_strain_flat_m, fence.max_strain_undulating_m) == expected


@pytest.mark.parametrize(("key", "limits"), HOURS_PER_KM.items())
def test_a_flat_kilometre_takes_the_hours_that_are_usual(key: str, limits: tuple[float, float]) -> None:
    low, high = limits
    assert low <= hours_on_flat_ground(SHIPPED.fences[key], 1000.0) <= high


def test_hours_of_the_other_types_lie_between_their_neighbours() -> None:
    hours = {key: hours_on_flat_ground(fence, 1000.0) for key, fence in SHIPPED.fences.items()}
    assert hours["cattle-barbed-3"] < hours["cattle-barbed-4"] < hours["cattle-barbed-5"]
    assert hours["electric-1"] < hours["electric-2"] < hours["electric-3"] < hours["electric-5"] < hours["electric-7"]
    assert hours["temporary-electric"] < hours["electric-1"]
    assert hours["general-mesh"] < hours["lamb-and-goat-mesh"]


def test_tails_and_wires_of_the_two_worked_boundaries() -> None:
    general, barbed = SHIPPED.fences["general-mesh"], SHIPPED.fences["cattle-barbed-4"]
    assert general.mesh is not None
    assert general.mesh.tail_m == 0.3
    assert [s.tail_m for s in general.strands] == [1.5, 1.5]
    assert [s.tail_m for s in barbed.strands] == [1.5] * 4
    # 604 m of four barbs in two strains: 4 x 604 + 4 wires x 4 ends x 1.5 m
    assert sum(604 + 2 * 2 * s.tail_m for s in barbed.strands) == pytest.approx(2440.0)
    assert SHIPPED.items["barbed-wire-ht"].stock_m == (500.0,)
    # 1411.9 m of mesh in five strains needs 1415 m, which is eight rolls of 200 m and not the seven of 1400 m
    mesh_m = 1411.9 + 5 * 2 * general.mesh.tail_m
    assert mesh_m == pytest.approx(1414.9)
    assert SHIPPED.items[general.mesh.item].stock_m == (200.0,)
    assert math.ceil(mesh_m / 200.0) == 8


def test_pull_of_the_general_boundary_is_its_mesh_at_110_kgf_and_its_two_wires() -> None:
    assert SHIPPED.fences["general-mesh"].pull_n == pytest.approx(8 * 110 * 9.80665 + 1500 + 1200)


@pytest.mark.parametrize("key", SHIPPED.fences)
def test_every_post_that_may_be_asked_for_is_in_the_item_list(key: str) -> None:
    fence = SHIPPED.fences[key]
    rules = fence.posts
    plain = fence.height_m + rules.head_m + rules.embedment_m
    for family in rules.pattern:
        assert choose_post(SHIPPED.items, family=family, length_m=plain)
    for family in (rules.rise_family, rules.dip_family, rules.deviation_family):
        assert choose_post(SHIPPED.items, family=family, length_m=plain + rules.deep_extra_m)


@pytest.mark.parametrize("key", SHIPPED.fences)
def test_strainers_are_long_enough_for_fence_and_depth(key: str) -> None:
    fence = SHIPPED.fences[key]
    for use in (fence.ends.single, fence.ends.double, fence.ends.gate):
        assembly = SHIPPED.assemblies[use]
        post = SHIPPED.items[assembly.parts[0][0]]
        assert post.length_m is not None
        assert post.length_m >= fence.height_m + assembly.depth_m - 1e-9


@pytest.mark.parametrize("key", [k for k, a in SHIPPED.assemblies.items() if a.form in ("box", "diagonal")])
def test_stays_and_rails_fit_their_assembly(key: str) -> None:
    assembly = SHIPPED.assemblies[key]
    brace = next(SHIPPED.items[p] for p, _ in assembly.parts if SHIPPED.items[p].family in ("stay", "box-rail"))
    assert brace.length_m is not None
    run = assembly.brace_length_m if assembly.form == "box" else math.hypot(
        assembly.brace_length_m, assembly.rail_height_m)
    assert run == pytest.approx(brace.length_m, abs=0.02)
    assert assembly.brace_length_m >= 2 * assembly.rail_height_m


def test_mesh_names_wires_and_masses_agree() -> None:
    for fence in SHIPPED.fences.values():
        if fence.mesh is None:
            continue
        wires, height_cm, spacing_cm = (int(n) for n in fence.mesh.item.split("-")[1:])
        assert fence.mesh.line_wires == wires
        assert fence.mesh.height_m == pytest.approx(height_cm / 100, abs=0.015)
        assert fence.mesh.picket_spacing_m == pytest.approx(spacing_cm / 100, abs=0.006)
        gaps = [b - a for a, b in pairwise(fence.mesh.line_wire_heights_m)]
        assert gaps == sorted(gaps, key=lambda g: round(g, 4)), "small openings go down"
        steel = fence.mesh.line_wire.steel_kg_per_m * (wires + fence.mesh.height_m / fence.mesh.picket_spacing_m)
        assert SHIPPED.items[fence.mesh.item].mass_kg == pytest.approx(1.1 * steel, rel=0.005)


def test_lean_limits_by_knot() -> None:
    limits = {(f.mesh.knot, f.mesh.lean_limit_deg) for f in SHIPPED.fences.values() if f.mesh}
    assert limits == {("hinged", 8.0), ("fixed", 5.0), ("woven", 8.0)}


def test_no_item_is_priced_and_every_key_is_small_words() -> None:
    for key, item in SHIPPED.items.items():
        assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", key)
        assert item.mass_kg is None or item.mass_kg > 0
    for table in tomllib.loads((resources() / "items.toml").read_text(encoding="utf-8")).values():
        assert not any("price" in field or "cost" in field for field in table)


def test_every_type_names_its_cautions_and_sources() -> None:
    for fence in SHIPPED.fences.values():
        assert fence.cautions
        assert fence.sources
        if any(s.kind == "barbed" for s in fence.strands):
            assert any("never be electrified" in c for c in fence.cautions)
        if fence.mesh:
            assert any("small openings go down" in c for c in fence.cautions)
    for goats in ("lamb-and-goat-mesh", "electric-7"):
        ends = SHIPPED.fences[goats].ends
        assert {SHIPPED.assemblies[k].form for k in (ends.single, ends.double, ends.gate)} == {"box"}


def test_own_folder_stands_before_the_shipped_types(tmp_path: Path) -> None:
    shipped = (resources() / "fences" / "electric-1.toml").read_text(encoding="utf-8")
    (tmp_path / "electric-1.toml").write_text(shipped.replace("height_mm = 850", "height_mm = 800"), encoding="utf-8")
    (tmp_path / "my-strip.toml").write_text(shipped, encoding="utf-8")
    catalogue = load_catalogue(own_folder=tmp_path)
    assert catalogue.fences["electric-1"].height_m == pytest.approx(0.8)
    assert catalogue.fences["my-strip"].height_m == pytest.approx(0.85)
    assert len(catalogue.fences) == len(SHIPPED.fences) + 1


def test_job_stands_before_the_own_folder(tmp_path: Path) -> None:
    shipped = (resources() / "fences" / "electric-1.toml").read_text(encoding="utf-8")
    (tmp_path / "electric-1.toml").write_text(shipped.replace("height_mm = 850", "height_mm = 800"), encoding="utf-8")
    job = {"electric-1": shipped.replace("height_mm = 850", "height_mm = 750")}
    catalogue = load_catalogue(own_folder=tmp_path, own_fences=job)
    assert catalogue.fences["electric-1"].height_m == pytest.approx(0.75)


def test_own_items_reach_shipped_types(tmp_path: Path) -> None:
    (tmp_path / "items.toml").write_text(
        '[mesh-8-90-30]\ndescription = "thin"\nunit = "m"\nstock_m = [100]\nwire = {diameter_mm = 2.0}\n',
        encoding="utf-8")
    own = '[steel-post-1800]\ndescription = "ours"\nunit = "each"\nfamily = "steel-post"\nlength_mm = 1800\n'
    catalogue = load_catalogue(own_folder=tmp_path, own_items=own)
    mesh = catalogue.fences["general-mesh"].mesh
    assert mesh is not None
    assert mesh.line_wire.diameter_m == pytest.approx(0.002)
    assert catalogue.items["steel-post-1800"].description == "ours"
    assert SHIPPED.items["steel-post-1800"].description != "ours"


def test_own_ends_and_grounds(tmp_path: Path) -> None:
    (tmp_path / "ground_classes.toml").write_text(
        '[soil]\ndescription = "clay"\nsetting = "dug"\nuplift_kgf = 90\nposts_factor = 2\nends_factor = 2\n',
        encoding="utf-8")
    (tmp_path / "end_assemblies.toml").write_text(
        '[tree]\ndescription = "a post"\nform = "post"\ndepth_mm = 900\nparts = {strainer-2400-200 = 1}\n',
        encoding="utf-8")
    catalogue = load_catalogue(own_folder=tmp_path)
    assert catalogue.grounds["soil"].uplift_n == pytest.approx(90 * 9.80665)
    assert catalogue.assemblies["tree"].parts == (("strainer-2400-200", 1.0),)
    assert catalogue.assemblies["tree"].brace_length_m == 0.0


def test_folder_named_by_the_environment(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("STRAINWRIGHT_FENCES", str(tmp_path))
    (tmp_path / "mine.toml").write_bytes((resources() / "fences" / "electric-2.toml").read_bytes())
    assert own_fence_folder() == tmp_path
    assert "mine" in load_catalogue().fences


def test_without_own_folder_the_shipped_catalogue_is_read_once() -> None:
    assert not own_fence_folder().exists()
    assert load_catalogue() is load_catalogue(own_fences={}, own_items="")


def test_a_named_folder_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(BadFenceType, match="folder of your own fence types is not there"):
        load_catalogue(own_folder=tmp_path / "gone")


def test_a_folder_named_by_the_environment_that_is_not_there(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("STRAINWRIGHT_FENCES", str(tmp_path / "gone"))
    with pytest.raises(BadFenceType, match="correct STRAINWRIGHT_FENCES"):
        load_catalogue()


def test_a_file_that_is_not_text(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_bytes(b'name = "\xff\xfe"')
    with pytest.raises(BadFenceType, match=r"mine\.toml: the file is not UTF-8 text"):
        load_catalogue(own_folder=tmp_path)


def test_a_job_text_that_is_not_toml() -> None:
    with pytest.raises(BadFenceType, match=r"the job's own mine: this is not a readable TOML file: .*line 1"):
        load_catalogue(own_fences={"mine": "name = general"})


def test_choose_fence_names_the_nearest() -> None:
    assert choose_fence(SHIPPED, "general-mesh").key == "general-mesh"
    with pytest.raises(BadFenceType, match="did you mean cattle-barbed-4"):
        choose_fence(SHIPPED, "cattle-barbd-4")


@pytest.mark.parametrize("key", ["GP", "CB4", "E1", ""])
def test_row_names_are_no_keys(key: str) -> None:
    with pytest.raises(BadFenceType, match="there is no such fence type"):
        choose_fence(SHIPPED, key)


def test_reading_the_catalogue_imports_no_heavy_library() -> None:
    code = ("import sys; from planner.spec.catalogue import load_catalogue; import planner.spec.explain; "
            "import planner.spec.gates; load_catalogue(); "
            "print(*sorted({'numpy', 'scipy', 'shapely', 'pandas', 'pyproj'} & set(sys.modules)))")
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == ""
