"""Fields of a panel: what is typed is taken when it can be used, and refused in place with one sentence when not."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields as fields_of
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QLabel, QLineEdit, QWidget

from planner.errors import PlannerError
from planner.numerals import decimal_of, with_point
from planner.settings import Settings
from planner.ui.measures import Measures
from planner.ui.panels.cards import KeyFilter
from planner.ui.panels.marks import Refusal
from planner.ui.theme import Theme

_BEHIND = {"": "", "deg": "°", "degC": " °C", "d": " days"}


class Field(QWidget):
    """A label, a field, and below it why what was typed cannot be used.

    Args:
        label: What is typed.
        take: Takes what was typed; raises PlannerError to refuse it.
        tip: What it means.
        wide: True for texts, False for figures, which stand at the right.
        parent: Qt parent.
    """

    def __init__(self, label: str, take: Callable[[str], None], *, tip: str = "", wide: bool = False,
                 parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._take, self._shown, self._wide = take, "", wide
        self.label, self.field, self.refusal = QLabel(label, self), QLineEdit(self), Refusal(self)
        self.label.setWordWrap(True)
        self.label.setBuddy(self.field)
        self.field.setAccessibleName(label)
        self.field.setAccessibleDescription(tip)
        for widget in (self.label, self.field):
            widget.setToolTip(tip)
        if not wide:
            self.field.setAlignment(Qt.AlignmentFlag.AlignRight)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(10)
        grid.setVerticalSpacing(4)
        grid.addWidget(self.label, 0, 0)
        grid.addWidget(self.field, 0, 1)
        grid.addWidget(self.refusal, 1, 0, 1, 2)
        grid.setColumnStretch(1 if wide else 0, 1)
        self.field.editingFinished.connect(self._finish)
        KeyFilter(self.field, self._give_up)

    def show_text(self, text: str) -> None:
        """Shows a text, unless a person is typing there."""
        self._shown = text
        if not (self.field.hasFocus() and self.field.isModified()):
            self.field.setText(text)
            self.refusal.say("")

    def set_theme(self, look: Theme) -> None:
        """Takes other colours and sizes."""
        self.refusal.set_theme(look)
        self.field.setMaximumWidth(16_777_215 if self._wide else round(104 * look.scale))

    def _finish(self) -> None:
        text = self.field.text().strip()
        if text == self._shown:
            self._give_up()
            return
        try:
            self._take(text)
        except PlannerError as trouble:
            self.refusal.say(str(trouble))
            self.field.setModified(False)
            return
        self.field.setModified(False)
        self.refusal.say("")

    def _give_up(self) -> None:
        self.field.setText(self._shown)
        self.field.setModified(False)
        self.refusal.say("")


class SettingField(Field):
    """A setting of the job, with its meaning and its limits.

    Args:
        name: Name of the setting.
        label: What it is called here.
        take: Takes the name and the new value; raises PlannerError to refuse it.
        parent: Qt parent.
    """

    def __init__(self, name: str, label: str, take: Callable[[str, str | float], None],
                 parent: QWidget | None = None) -> None:
        about = next(f.metadata for f in fields_of(Settings) if f.name == name)
        self._about: Any = about
        self._measures = Measures()
        super().__init__(label, lambda text: take(name, self._value(text)), tip=setting_tip(name), parent=parent)
        self.name = name

    def show_setting(self, settings: Settings, measures: Measures) -> None:
        """Shows the value that is set.

        Args:
            settings: Settings of the job.
            measures: How values are shown.
        """
        self._measures = measures
        value, unit = getattr(settings, self.name), self._about["unit"]
        if unit == "m" and measures.system != "metric":
            self.show_text(measures.length(value, 2))
        elif unit == "" and not isinstance(value, int) and "low" in self._about and self._about["high"] <= 1.0:
            self.show_text(f"{100.0 * value:g} %")
        else:
            self.show_text(f"{value:g}{_BEHIND.get(unit, f' {unit}')}".strip())

    def _value(self, text: str) -> str | float:
        if self._about["unit"] == "m":
            return self._measures.parse_length(text)
        if text.endswith("%"):
            share = decimal_of(text.rstrip("% "))
            return text if share is None else float(share) / 100.0
        for sign in (self._about["unit"], "°C", "°"):
            text = text.removesuffix(sign).strip() if sign else text
        return with_point(text)


def setting_tip(name: str) -> str:
    """Meaning, limits and source of a setting.

    Args:
        name: Name of the setting.
    """
    about = next(f.metadata for f in fields_of(Settings) if f.name == name)
    limits = f" From {about['low']:g} to {about['high']:g} {about['unit']}".rstrip() + "." if "low" in about else ""
    meaning = str(about["meaning"])
    return f"{meaning[:1].upper()}{meaning[1:]}.{limits} Source: {about['source']}."
