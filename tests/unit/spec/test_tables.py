import pytest

from planner.errors import BadFenceType
from planner.spec.tables import Table, nearest, parse_toml


def test_nothing_near() -> None:
    assert nearest("zzz", ["height_mm"]) == ""
    assert nearest("x", []) == ""


def test_where_names_file_table_and_field() -> None:
    table = Table({"wires": [{"kind": 3}]}, file="mine.toml").tables("wires")[0]
    sentence = r"^mine\.toml, \[wires 1\], field 'kind': 3 is not a text; put it in quotes\.$"
    with pytest.raises(BadFenceType, match=sentence):
        table.text("kind")


def test_absent_tables_are_none() -> None:
    assert Table({}, file="f").tables("wires") == ()


def test_a_table_inside_a_table_is_named_in_full() -> None:
    inner = Table({"a": {"b": {}}}, file="f").table("a").table("b")
    assert inner.name == "a.b"


def test_defaults_stand_only_where_a_field_is_absent() -> None:
    table = Table({"n": 0, "t": "x"}, file="f")
    assert table.number("n", low=0, high=1, default=1.0) == 0.0
    assert table.number("m", low=0, high=1, default=1.0) == 1.0
    assert table.text("t", default="") == "x"
    assert table.texts("u", default=("a",)) == ("a",)
    table.finish()


def test_a_list_where_a_number_belongs_is_shown_short() -> None:
    with pytest.raises(BadFenceType, match=r"\[0, 1, 2, .*\.\.\. is not a number"):
        Table({"n": list(range(50))}, file="f").number("n", low=0, high=1)


@pytest.mark.parametrize("value", [[1], [""], "one"])
def test_lists_of_texts_hold_texts(value: object) -> None:
    with pytest.raises(BadFenceType, match=r"is not a text|is not a list"):
        Table({"t": value}, file="f").texts("t")


def test_a_text_that_is_not_toml() -> None:
    with pytest.raises(BadFenceType, match=r"^f: this is not a readable TOML file: .*; correct that line\.$"):
        parse_toml("a = = b", file="f")
