from __future__ import annotations

import json
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.jobpack.plan_json import _told

VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4), max_leaves=25)


@given(VALUES)
def test_what_is_told_is_the_same_json(value):
    assert json.loads("".join(_told(value, "\n"))) == value


def test_a_record_and_a_row_of_numbers_take_one_line_each():
    text = "".join(_told({"posts": [{"id": "A1", "x": 1.5}, {"id": "A2", "x": 2.5}], "levels": [1.0, 2.0]}, "\n"))
    assert text.splitlines() == [
        "{", ' "posts": [', '  {"id": "A1", "x": 1.5},', '  {"id": "A2", "x": 2.5}', " ],",
        ' "levels": [1.0, 2.0]', "}"]


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_what_is_no_number_is_never_written(value: float):
    with pytest.raises(ValueError, match="not JSON compliant"):
        "".join(_told({"a": [{"b": value}]}, "\n"))
