import tomllib

import pytest

from planner.errors import BadFenceType
from planner.spec.items import Item
from planner.spec.reading_items import read_assemblies, read_grounds, read_items

POST = "[post]\ndescription = 'a post'\nunit = 'each'\nfamily = 'strainer'\nlength_mm = 2400\n"
WIRE = "[wire]\ndescription = 'a wire'\nunit = 'm'\nstock_m = [1500, 648]\nwire = {diameter_mm = 2.5}\n"
BOX = ("[box]\ndescription = 'a box'\nform = 'box'\nspans = 1\nrail_height_mm = 1000\nbrace_length_mm = 2400\n"
       "depth_mm = 1200\nparts = {post = 2}\n")
SOIL = "[soil]\ndescription = 'soil'\nsetting = 'driven'\nuplift_kgf = 900\nposts_factor = 1\nends_factor = 1\n"


def items(text: str) -> dict[str, Item]:
    return read_items(tomllib.loads(text), file="items.toml")


def test_a_wire_without_a_mass_weighs_its_steel() -> None:
    wire = items(WIRE)["wire"]
    assert wire.mass_kg == pytest.approx(0.038533, rel=1e-3)
    assert wire.stock_m == (1500.0, 648.0)
    assert wire.pieces_per_unit == 1.0


def test_a_post_without_a_mass_has_none() -> None:
    post = items(POST)["post"]
    assert post.mass_kg is None
    assert post.length_m == 2.4


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (WIRE.replace("[1500, 648]", "[648, 1500]"), r"items\.toml, \[wire\], field 'stock_m': .*not in order"),
        (WIRE.replace("[1500, 648]", "[648, 648]"), "not in order"),
        (WIRE.replace("[1500, 648]", "[nan]"), "nan is not a number from 1 to 10000 m"),
        (WIRE.replace("[1500, 648]", "648"), "648 is not a list"),
        (WIRE.replace("unit = 'm'", "unit = 'each'"), "roll lengths are given for something counted in 'each'"),
        (WIRE.replace("unit = 'm'", "unit = 'feet'"), "'feet' is not one of m, each, kg, h"),
        (WIRE.replace("diameter_mm = 2.5", "diameter_mm = 0"),
         r"\[wire\.wire\], field 'diameter_mm': 0 is not a number above 0 to 50 mm"),
        (WIRE.replace("diameter_mm", "diametre_mm"), "'diametre_mm': no such field; did you mean 'diameter_mm'"),
        (WIRE.replace("wire = {diameter_mm = 2.5}", "wire = 2.5"), "2.5 is not a table"),
        (POST + "price = 3.5\n", "field 'price': no such field"),
        (POST + "timber = 'yes'\n", "'yes' is neither true nor false"),
        (POST + "pack = 0\n", "field 'pack': 0 is not a number above 0"),
        (POST + "mass_kg = -1\n", "-1 is not a number from 0 to 5000 kg"),
        (POST.replace("description = 'a post'\n", ""), "field 'description': the field is missing"),
        (POST.replace("[post]", "[labour]"), "'labour' stands for person-hours in price lists"),
        (POST.replace("[post]", "['Big Post']"), r"items\.toml: 'Big Post' is not a readable key"),
        ("post = 3\n", r"field 'post': 3 is not a table; write it as a table headed \[post\]"),
    ],
)
def test_items_that_cannot_be_used(text: str, message: str) -> None:
    with pytest.raises(BadFenceType, match=message):
        items(text)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (BOX.replace("{post = 2}", "{pots = 2}"), "'pots' is not in the item list; did you mean 'post'"),
        (BOX.replace("{post = 2}", "{post = 0}"), "field 'post': 0 is not a number above 0"),
        (BOX.replace("{post = 2}", "{wire = 12}"), "the first part is not a post"),
        (BOX.replace("{post = 2}", "{}"), "the first part is not a post"),
        (BOX.replace("rail_height_mm = 1000\n", ""), "field 'rail_height_mm': the field is missing"),
        (BOX.replace("'box'\nspans", "'post'\nspans"), "a post alone or a hand-set end has no brace"),
        (BOX.replace("spans = 1", "spans = 0"), "field 'spans': 0 is not a number from 1 to 4"),
        (BOX.replace("form = 'box'", "form = 'bocks'"), "'bocks' is not one of box, diagonal, post, hand"),
        (BOX + "[box.parts_further]\nposts = 1\n", "'posts' is not in the item list"),
    ],
)
def test_assemblies_that_cannot_be_used(text: str, message: str) -> None:
    known = items(POST + WIRE)
    with pytest.raises(BadFenceType, match=message):
        read_assemblies(tomllib.loads(text), known, file="end_assemblies.toml")


def test_an_assembly() -> None:
    box = read_assemblies(tomllib.loads(BOX), items(POST), file="end_assemblies.toml")["box"]
    assert (box.rail_height_m, box.brace_length_m, box.depth_m) == (1.0, 2.4, 1.2)
    assert box.parts == (("post", 2.0),)
    assert box.parts_further == ()


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (SOIL.replace("'driven'", "'dropped'"), "'dropped' is not one of driven, dug, drilled"),
        (SOIL.replace("uplift_kgf = 900", "uplift_kgf = -1"), "-1 is not a number from 0 to 10000 kgf"),
        (SOIL.replace("posts_factor = 1", "posts_factor = 0"), "0 is not a number from 0.1 to 20"),
    ],
)
def test_grounds_that_cannot_be_used(text: str, message: str) -> None:
    with pytest.raises(BadFenceType, match=message):
        read_grounds(tomllib.loads(text), file="ground_classes.toml")
