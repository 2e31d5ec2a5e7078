from __future__ import annotations

import pytest
from PySide6.QtCore import Qt

from planner.errors import OutOfRange
from planner.settings import Settings
from planner.ui.measures import Measures
from planner.ui.panels.fields import Field, SettingField, setting_tip


def take(text: str) -> None:
    if not text:
        raise OutOfRange("nothing was typed", remedy="type a name")


@pytest.fixture
def field(qtbot) -> Field:
    made = Field("Name", take)
    qtbot.addWidget(made)
    made.show()
    made.show_text("Home")
    return made


def test_what_cannot_be_used_is_refused_below_the_field(qtbot, field: Field) -> None:
    field.field.setFocus()
    field.field.clear()
    qtbot.keyClick(field.field, Qt.Key.Key_Return)
    assert field.refusal.text == "Nothing was typed; type a name."
    assert field.refusal.isVisible()
    qtbot.keyClick(field.field, Qt.Key.Key_Escape)
    assert field.field.text() == "Home"
    assert not field.refusal.isVisible()


def test_a_text_shown_anew_takes_a_refusal_back(qtbot, field: Field) -> None:
    field.field.clear()
    qtbot.keyClick(field.field, Qt.Key.Key_Return)
    field.show_text("Other")
    assert field.field.text() == "Other"
    assert field.refusal.text == ""


@pytest.mark.parametrize(("name", "typed", "value"), [
    ("grade_tolerance_m", "0.3 m", 0.3), ("grade_tolerance_m", "1 ft", 0.3048), ("break_end_deg", "14°", "14"),
    ("order_confidence", "95 %", 0.95), ("order_confidence", "0,9", "0.9"), ("trailer_payload_kg", "900 kg", "900")])
def test_a_setting_is_read_in_any_unit(qtbot, name: str, typed: str, value: object) -> None:
    taken: list[tuple[str, object]] = []
    made = SettingField(name, name, lambda n, v: taken.append((n, v)))
    qtbot.addWidget(made)
    made.show_setting(Settings(), Measures())
    made.field.setText(typed)
    made.field.editingFinished.emit()
    assert taken == [(name, pytest.approx(value) if isinstance(value, float) else value)]


def test_a_figure_that_can_be_read_in_two_ways_is_no_number(qtbot) -> None:
    """1,234 kg would otherwise be a trailer of one kilogram."""
    made = SettingField("trailer_payload_kg", "Payload", lambda name, value: Settings().changed({name: value}))
    qtbot.addWidget(made)
    made.show_setting(Settings(), Measures())
    made.field.setText("1,234 kg")
    made.field.editingFinished.emit()
    assert "1,234" in made.refusal.text
    made.field.setText("1.234,5 kg")
    made.field.editingFinished.emit()
    assert made.refusal.text == ""


def test_a_setting_is_shown_with_its_unit(qtbot) -> None:
    shown = {}
    for name in ("grade_tolerance_m", "break_end_deg", "order_confidence", "setting_temperature_c"):
        made = SettingField(name, name, lambda n, v: None)
        qtbot.addWidget(made)
        made.show_setting(Settings(), Measures())
        shown[name] = made.field.text()
    assert shown == {"grade_tolerance_m": "0.15 m", "break_end_deg": "12°", "order_confidence": "90 %",
                     "setting_temperature_c": "20 °C"}


def test_its_tip_gives_meaning_limits_and_source() -> None:
    tip = setting_tip("grade_tolerance_m")
    assert tip == ("How far the ground may leave a straight grade. From 0.01 to 5 m. Source: common practice, "
                   "no source.")
