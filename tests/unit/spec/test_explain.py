import json

import pytest

from planner.errors import BadFenceType
from planner.shipped import resources
from planner.spec.catalogue import load_catalogue
from planner.spec.end_assemblies import EndRules
from planner.spec.explain import explain_fence, fence_as_dict, list_fences
from planner.spec.fence_type import FenceType, LabourRates
from planner.spec.meshes import Mesh, Netting
from planner.spec.posts import PostRules
from planner.spec.wires import Strand, Wire

CATALOGUE = load_catalogue(own_folder=resources() / "fences")


def test_the_list_holds_every_type_in_columns() -> None:
    lines = list_fences(CATALOGUE).splitlines()
    assert [line.split()[0] for line in lines[1:1 + len(CATALOGUE.fences)]] == list(CATALOGUE.fences)
    assert lines[0].split() == ["key", "name", "height", "mm", "wires", "posts", "m", "strain", "m", "pull", "kN"]
    right_edges = {len(line) for line in lines[:1 + len(CATALOGUE.fences)]}
    assert len(right_edges) == 1
    general = next(line for line in lines if line.startswith("general-mesh"))
    assert "8-wire mesh + 1 plain + 1 barbed" in general
    assert general.endswith("11.3")
    assert "advisory" in lines[-1]


@pytest.mark.parametrize("key", CATALOGUE.fences)
def test_one_type_in_full_leaves_nothing_out(key: str) -> None:
    fence = CATALOGUE.fences[key]
    text = explain_fence(CATALOGUE, key)
    for part in (fence.key, fence.name, fence.use, fence.version, *fence.cautions, *fence.sources):
        assert part in text
    for strand in fence.strands:
        row = next(line for line in text.splitlines() if line.strip().startswith(strand.name + "  "))
        assert f" {strand.height_m * 1000:.0f} " in row
        assert f" {strand.kind} " in row
        assert f" {strand.strain_n / 1000:.2f} " in row
        assert CATALOGUE.items[strand.item].description in row
    for netting in fence.nettings:
        assert CATALOGUE.items[netting.item].description in text
    for family in {*fence.posts.pattern, fence.posts.rise_family, fence.posts.deviation_family}:
        assert family in text
    for assembly in (fence.ends.single, fence.ends.double, fence.ends.gate):
        assert f"({assembly})" in text
    assert f"{fence.pull_n / 1000:.2f} kN" in text
    assert "advisory" in text
    assert "nan" not in text.lower().split()


def test_the_mesh_is_told_from_the_ground_up() -> None:
    text = explain_fence(CATALOGUE, "general-mesh")
    assert "at 30, 132, 234, 348, 475, 615, 767, 932 mm above the ground; small openings down" in text
    assert "1.08 kN (110 kgf) a line wire" in text
    assert "rolls of 200 m" in text
    assert "4 steel-post, 1 timber-post" in text


def test_an_unknown_key_names_those_near() -> None:
    with pytest.raises(BadFenceType, match=r"fence 'generel-mesh': .* did you mean general-mesh"):
        explain_fence(CATALOGUE, "generel-mesh")


def _rebuilt(plain: dict[str, object]) -> FenceType:
    """A fence type from its dictionary, as anyone reading the JSON would build it."""
    d = json.loads(json.dumps(plain, allow_nan=False))

    def tupled(values: dict[str, object]) -> dict[str, object]:
        return {k: tuple(v) if isinstance(v, list) else v for k, v in values.items()}

    mesh = d["mesh"] and Mesh(**tupled(d["mesh"] | {"line_wire": Wire(**d["mesh"]["line_wire"])}))
    return FenceType(
        key=d["key"], name=d["name"], use=d["use"], version=d["version"],
        strands=tuple(Strand(**tupled(s)) for s in d["strands"]), mesh=mesh,
        nettings=tuple(Netting(**n) for n in d["nettings"]), posts=PostRules(**tupled(d["posts"])),
        ends=EndRules(**d["ends"]), max_strain_flat_m=d["max_strain_flat_m"],
        max_strain_undulating_m=d["max_strain_undulating_m"], labour=LabourRates(**d["labour"]),
        cautions=tuple(d["cautions"]), sources=tuple(d["sources"]))


@pytest.mark.parametrize("key", CATALOGUE.fences)
def test_a_type_comes_back_whole_from_its_dictionary(key: str) -> None:
    fence = CATALOGUE.fences[key]
    plain = fence_as_dict(fence)
    assert _rebuilt(plain) == fence
    assert (plain["height_m"], plain["pull_n"]) == (fence.height_m, fence.pull_n)
