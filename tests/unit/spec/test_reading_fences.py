import dataclasses
import tomllib

import pytest

from planner.errors import BadFenceType
from planner.shipped import resources
from planner.spec.catalogue import load_catalogue
from planner.spec.fence_type import FenceType
from planner.spec.reading_fences import Stores, read_fence

CATALOGUE = load_catalogue(own_folder=resources() / "fences")
STORES = Stores(CATALOGUE.items, CATALOGUE.assemblies)
GENERAL = (resources() / "fences" / "general-mesh.toml").read_text(encoding="utf-8")
ELECTRIC = (resources() / "fences" / "electric-2.toml").read_text(encoding="utf-8")
RABBIT = (resources() / "fences" / "rabbit-netting.toml").read_text(encoding="utf-8")
DROPPERS = (resources() / "fences" / "cattle-plain-5.toml").read_text(encoding="utf-8")


def read(text: str, key: str = "mine") -> FenceType:
    return read_fence(key, tomllib.loads(text), STORES, file=f"{key}.toml")


def changed(text: str, old: str, new: str) -> str:
    assert old in text
    return text.replace(old, new, 1)


def test_units_on_paper_become_si() -> None:
    fence = read(GENERAL)
    assert fence.mesh is not None
    assert fence.strands[0].height_m == 1.0
    assert fence.strands[0].strain_n == 1500.0
    assert fence.mesh.line_wire_heights_m[-1] == pytest.approx(0.902)
    assert fence.mesh.crimp_amplitude_m == pytest.approx(0.003)
    assert fence.posts.side_light_n == 500.0
    assert fence.labour.steel_post == pytest.approx(4.5 / 60)
    assert fence.labour.mesh_per_m == pytest.approx(0.018)


def test_strain_may_be_given_in_kilograms_force() -> None:
    fence = read(changed(GENERAL, "strain_kn = 1.5", "strain_kgf = 150"))
    assert fence.strands[0].strain_n == pytest.approx(150 * 9.80665)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("height_mm = 1000", "hieght_mm = 1000",
         r"mine\.toml, \[wires 1\], field 'hieght_mm': no such field; did you mean 'height_mm'"),
        ("gap_below_mm = 30", "colour = 30", r"\[mesh\], field 'gap_below_mm': the field is missing"),
        ("gap_below_mm = 30", "gap_below_mm = 30\ncolour = 'red'", r"\[mesh\], field 'colour': no such field; use "),
        ("join = \"joint-sleeve\"", "joinn = \"joint-sleeve\"", r"field 'joinn': no such field; did you mean 'join'"),
        ("height_mm = 1000", "height_mm = '1000'", r"field 'height_mm': '1000' is not a number"),
        ("height_mm = 1000", "height_mm = true", r"field 'height_mm': true is not a number"),
        ("height_mm = 1000", "height_mm = nan", r"field 'height_mm': nan is not a number from 0 to 5000 mm"),
        ("height_mm = 1000", "height_mm = -1", r"field 'height_mm': -1 is not a number from 0 to 5000 mm"),
        ("height_mm = 1000", "height_mm = inf", r"field 'height_mm': inf is not a number from 0 to 5000 mm"),
        ("height_mm = 1000", "height_mm = 1150", r"\[wires 2\], field 'height_mm': 1150 mm is not above"),
        ("kind = \"plain\"", "kind = \"plian\"", r"field 'kind': 'plian' is not one of .*did you mean 'plain'"),
        ("kind = \"plain\"", "kind = \"barbed\"", r"the kind is 'barbed' but 'plain-wire-ht' is not barbed wire"),
        ("kind = \"barbed\"", "kind = \"plain\"", r"the kind is 'plain' but 'barbed-wire-ht' is barbed wire"),
        ("kind = \"barbed\"", "kind = \"hot\"", r"'barbed-wire-ht' is barbed wire and may not be electrified"),
        ("kind = \"barbed\"", "kind = \"earth\"", r"'barbed-wire-ht' is barbed wire and may not be electrified"),
        ("wire = \"plain-wire-ht\"", "wire = \"plain-wire-hy\"",
         r"'plain-wire-hy' is not in the item list; did you mean 'plain-wire-ht'"),
        ("wire = \"plain-wire-ht\"", "wire = \"wire-tie\"", r"'wire-tie' is not sold by the metre"),
        ("strain_kn = 1.5", "strain_kn = 1.5\nstrain_kgf = 150", r"'strain_kn' is given as well"),
        ("strain_kn = 1.5", "strain_kn = -1.5", r"-1.5 is not a number from 0 to 50 kN"),
        ("tie_steel = \"wire-tie\"", "tie_steel = \"string\"", r"field 'tie_steel': 'string' is not in the item list"),
        ("tie_steel = \"wire-tie\"", "tie_steel = 3", r"field 'tie_steel': 3 is not a text"),
        ("tie_steel = \"wire-tie\"", "tie_steel = \" \"", r"field 'tie_steel': the text is blank"),
        ("roll = \"mesh-8-90-30\"", "roll = \"rabbit-netting-1050\"", r"is not a mesh with a line wire"),
        ("heights_mm = [0, 102", "heights_mm = [0, 204", r"the heights do not rise from 0"),
        ("heights_mm = [0, 102", "heights_mm = [50, 102", r"the heights do not rise from 0"),
        ("heights_mm = [0, 102", "heights_mm = ['0', 102", r"'0' is not a number"),
        ("ties_per_steel_post = 3", "ties_per_steel_post = 2.5", r"2.5 is not a whole number"),
        ("knot = \"hinged\"", "knot = \"hingd\"", r"'hingd' is not one of hinged, fixed, woven; did you mean 'hinged'"),
        ("version = \"1.0\"", "version = \"2.0\"", r"version 2.0 is newer than this program reads"),
        ("version = \"1.0\"", "version = \"one\"", r"'one' is not a version"),
        ("version = \"1.0\"", "version = 1.0", r"field 'version': 1.0 is not a text"),
        ("single = \"single-box\"", "single = \"singel-box\"",
         r"no end assembly 'singel-box'; did you mean 'single-box'"),
        ("spacing_uneven_m = 4", "spacing_uneven_m = 6", r"6 m is wider than on even ground \(5 m\)"),
        ("side_heavy_kn = 3", "side_heavy_kn = 0.1", r"it is less than side_light_kn"),
        ("rise_post = \"steel-post\"", "rise_post = \"stel-post\"",
         r"no post of family 'stel-post'.*mean 'steel-post'"),
        ("in_ground_mm = 600", "in_ground_mm = 1600",
         r"a post of 3\.10 m is needed, but the longest 'steel-post' in the item list is 3\.00 m"),
        ("longest_strain_undulating_m = 250", "longest_strain_undulating_m = 450", r"it is longer than on flat ground"),
        ("[mesh]", "[mesh.more]", r"field 'roll': the field is missing"),
        ("steel_post_min = 4.5", "steel_post_min = -4.5", r"\[labour\], field 'steel_post_min': -4.5 is not a number"),
    ],
)
def test_what_is_wrong_is_said_in_one_sentence(old: str, new: str, message: str) -> None:
    text = changed(GENERAL, old, new)
    with pytest.raises(BadFenceType, match=message):
        read(text)


def test_limits_themselves_are_allowed() -> None:
    fence = read(changed(GENERAL, "gap_below_mm = 30", "gap_below_mm = 0"))
    assert fence.mesh is not None
    assert fence.mesh.gap_below_m == 0.0
    assert read(changed(GENERAL, "spacing_uneven_m = 4", "spacing_uneven_m = 5")).posts.spacing_uneven_m == 5.0
    longest = read(changed(GENERAL, "in_ground_mm = 600", "in_ground_mm = 1500"))
    assert longest.height_m + longest.posts.head_m + longest.posts.embedment_m + 0.3 == pytest.approx(3.0)


def test_wires_written_as_a_number() -> None:
    with pytest.raises(BadFenceType, match="field 'wires': 3 is not a list; give a list of tables"):
        read(changed(ELECTRIC.split("[[wires]]")[0], "version", "wires = 3\nversion"))


def test_a_fence_of_nothing() -> None:
    start = ELECTRIC.index("[[wires]]")
    text = ELECTRIC[:start] + ELECTRIC[ELECTRIC.index("[posts]"):]
    with pytest.raises(BadFenceType, match="the fence has neither wires nor mesh"):
        read(text)


def test_an_end_fitting_that_is_not_listed() -> None:
    text = changed(ELECTRIC, "[\"end-insulator\"]", "[\"end-insulater\"]")
    with pytest.raises(BadFenceType, match="'end-insulater' is not in the item list; did you mean 'end-insulator'"):
        read(text)


def test_a_fixing_rule_without_a_fixing() -> None:
    text = changed(ELECTRIC, "tie_steel = \"insulator-steel\"\n", "")
    text = changed(text, "tie_timber = \"insulator-timber\"\n", "")
    with pytest.raises(BadFenceType, match="no fixing is named; add tie_steel, tie_timber or both"):
        read(text)


def test_netting_without_its_ring() -> None:
    text = changed(RABBIT, "ring = \"netting-ring\"\n", "")
    with pytest.raises(BadFenceType, match=r"\[netting 1\], field 'ring': the field is missing"):
        read(text)


def test_droppers_without_a_name() -> None:
    text = changed(DROPPERS, "dropper = \"dropper-1000\"\n", "")
    with pytest.raises(BadFenceType, match="there are droppers in each panel but none is named"):
        read(text)


@pytest.mark.parametrize("key", ["Mine", "my fence", "4-wires", "-", "mine-", ""])
def test_a_key_that_cannot_be_typed(key: str) -> None:
    with pytest.raises(BadFenceType, match="is not a readable key"):
        read(ELECTRIC, key)


def test_the_same_text_reads_the_same() -> None:
    assert dataclasses.replace(read(GENERAL), key="general-mesh") == CATALOGUE.fences["general-mesh"]
