from __future__ import annotations

import math
from dataclasses import fields

import pytest

from planner.errors import BadSetting
from planner.settings import ACCURACY_CLASSES, Settings

NUMBERS = [f for f in fields(Settings) if not isinstance(f.default, bool | str)]


def test_every_setting_says_what_it_means_and_where_its_default_comes_from():
    for field in fields(Settings):
        assert field.metadata["meaning"], field.name
        assert str(field.metadata["source"]), field.name


@pytest.mark.parametrize("field", NUMBERS, ids=lambda f: f.name)
def test_every_default_lies_within_its_limits_and_the_limits_are_allowed(field):
    low, high = field.metadata["low"], field.metadata["high"]
    assert low <= field.default <= high
    for limit in (low, high):
        assert getattr(Settings().changed({field.name: limit}), field.name) == limit
        assert getattr(Settings().changed({field.name: repr(limit)}), field.name) == limit


@pytest.mark.parametrize("field", NUMBERS, ids=lambda f: f.name)
def test_beyond_the_limits_is_refused(field):
    low, high = field.metadata["low"], field.metadata["high"]
    for value in (low - max(1e-6, abs(low) * 1e-6), high + max(1e-6, abs(high) * 1e-6), math.nan, math.inf, -math.inf):
        with pytest.raises(BadSetting, match=f"setting '{field.name}'"):
            Settings().changed({field.name: value})


@pytest.mark.parametrize("field", NUMBERS, ids=lambda f: f.name)
def test_a_unit_stands_in_the_name_of_what_has_one(field):
    unit = field.metadata["unit"]
    ending = {"m": ("_m",), "s": ("_seconds",), "d": ("_days",), "deg": ("_deg", "_deg_per_100m"), "degC": ("_c",),
              "GPa": ("_gpa",), "1/K": ("_per_k",), "mm/kN": ("_mm_per_kn",), "kg": ("_kg",), "years": ("_years",),
                  "J/km": ("joules_per_km",), "m/J": ("_m_per_joule",), "h/m": ("_h_per_m",),
                  "": ("",)}
    assert field.name.endswith(ending[unit]), (field.name, unit)


@pytest.mark.parametrize(("text", "value"), [("yes", True), ("On", True), ("1", True), ("TRUE", True), ("no", False),
                                             ("off", False), ("0", False), (" False ", False)])
def test_yes_and_no(text: str, value: bool):
    assert Settings().changed({"roll_joins_allowed": text}).roll_joins_allowed is value


@pytest.mark.parametrize(("name", "value", "told"), [
    ("roll_joins_allowed", "maybe", "neither yes nor no"),
    ("bites_allowed", 2.5, "not a whole number"),
    ("corner_deg", "twelve", "is not a number from 0 to 30 deg"),
    ("corner", 1, "no such setting; did you mean one of corner_deg"),
    ("Corner_Deg", 1, "did you mean one of corner_deg"),
])
def test_what_cannot_be_used_is_refused(name: str, value, told: str):
    with pytest.raises(BadSetting, match=told):
        Settings().changed({name: value})


def test_a_whole_number_stays_one():
    assert type(Settings().changed({"bites_allowed": "3"}).bites_allowed) is int


def test_changing_leaves_the_old_settings_as_they_were():
    old = Settings()
    new = old.changed({"corner_deg": 10})
    assert (old.corner_deg, new.corner_deg) == (20.0, 10.0)
    assert old == Settings()


def test_as_dict_gives_back_the_same_settings():
    changed = Settings().changed({"currency": "NZD", "roll_joins_allowed": False, "bites_allowed": 3})
    assert Settings().changed(changed.as_dict()) == changed
    assert list(changed.as_dict()) == [f.name for f in fields(Settings)]


def test_accuracy_classes_from_best_to_worst():
    assert ACCURACY_CLASSES == ("survey", "rtk", "dgnss", "handheld", "traced", "unknown")
    deviations = [Settings().sd_of(name) for name in ACCURACY_CLASSES]
    assert deviations == sorted(deviations) == [0.02, 0.05, 1.0, 4.0, 5.0, 10.0]
    with pytest.raises(BadSetting, match="no accuracy class 'good'"):
        Settings().sd_of("good")
