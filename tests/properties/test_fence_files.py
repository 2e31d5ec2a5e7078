"""Whatever a person does to a fence file, it is either read whole or refused in one sentence."""

import copy
import tomllib
from collections.abc import Iterator
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from planner.errors import BadFenceType
from planner.shipped import resources
from planner.spec.catalogue import load_catalogue
from planner.spec.fence_type import FenceType
from planner.spec.reading_fences import Stores, read_fence

CATALOGUE = load_catalogue(own_folder=resources() / "fences")
STORES = Stores(CATALOGUE.items, CATALOGUE.assemblies)
FILES = {key: tomllib.loads((resources() / "fences" / f"{key}.toml").read_text(encoding="utf-8"))
         for key in ("general-mesh", "rabbit-netting", "post-and-rail", "electric-3", "cattle-plain-5")}


def paths(values: Any, start: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Where every value of nested tables and lists stands."""
    pairs = values.items() if isinstance(values, dict) else enumerate(values) if isinstance(values, list) else ()
    for name, value in pairs:
        yield (*start, name)
        yield from paths(value, (*start, name))


def read_or_refusal(key: str, values: Any) -> FenceType | str:
    """The fence type, or the sentence that refuses it."""
    try:
        return read_fence(key, values, STORES, file=f"{key}.toml")
    except BadFenceType as refusal:
        return str(refusal)


SPOTS = [(key, path) for key, values in FILES.items() for path in paths(values)]
ANYTHING = st.one_of(
    st.booleans(), st.integers(), st.just(10**400), st.floats(), st.text(max_size=12), st.just([]), st.just({}),
    st.lists(st.floats(), max_size=4), st.lists(st.text(max_size=5), max_size=3), st.dates(),
    st.sampled_from(sorted(CATALOGUE.items)), st.sampled_from(["plain", "barbed", "hot", "none", "every-post"]))


@given(spot=st.sampled_from(SPOTS), value=ANYTHING, remove=st.booleans())
def test_one_changed_value_is_read_or_refused(spot: tuple[str, tuple[Any, ...]], value: Any, remove: bool) -> None:
    key, path = spot
    values: Any = copy.deepcopy(FILES[key])
    inner = values
    for name in path[:-1]:
        inner = inner[name]
    if remove:
        del inner[path[-1]]
    else:
        inner[path[-1]] = value
    outcome = read_or_refusal(key, values)
    if isinstance(outcome, str):
        assert outcome.startswith(f"{key}.toml")
        assert outcome.endswith(".")
        assert "\n" not in outcome.replace(str(value), "")
    else:
        assert_sound(outcome)


def assert_sound(fence: FenceType) -> None:
    """What holds of every fence type that was read."""
    heights = [s.height_m for s in fence.strands]
    assert heights == sorted(set(heights))
    assert 0 <= fence.pull_n < float("inf")
    assert all(s.item in CATALOGUE.items for s in fence.strands)
    assert not any(CATALOGUE.items[s.item].family == "barbed-wire" for s in fence.strands if s.kind == "hot")
