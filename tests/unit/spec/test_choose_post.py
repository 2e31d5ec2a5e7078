import pytest

from planner.errors import BadFenceType
from planner.spec.choose_post import choose_post
from planner.spec.items import Item

ITEMS = {key: Item(key, "", "each", family=family, length_m=length) for key, family, length in (
    ("steel-1800", "steel", 1.8), ("steel-1650", "steel", 1.65), ("timber-1800", "timber", 1.8), ("stay", "", 3.0))}


@pytest.mark.parametrize(("length", "key"), [(0.5, "steel-1650"), (1.65, "steel-1650"), (1.651, "steel-1800")])
def test_the_shortest_that_is_long_enough(length: float, key: str) -> None:
    assert choose_post(ITEMS, family="steel", length_m=length) == key


def test_a_sum_of_centimetres_does_not_ask_for_a_longer_post() -> None:
    assert choose_post(ITEMS, family="steel", length_m=1.1 + 0.1 + 0.45) == "steel-1650"


def test_none_long_enough() -> None:
    with pytest.raises(BadFenceType, match=r"no post is 1\.90 m long or longer \(the longest is 1\.80"):
        choose_post(ITEMS, family="steel", length_m=1.9)


def test_no_such_family() -> None:
    with pytest.raises(BadFenceType, match=r"there is none of that family at all"):
        choose_post(ITEMS, family="stone", length_m=1.9)
