"""The fields of a feature in the card of its tool: one for each fact of its meaning."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtWidgets import QComboBox, QLineEdit, QWidget

from planner.errors import OutOfRange
from planner.survey.feature_meanings import Fact, Meaning, checked_text
from planner.survey.features import Feature
from planner.ui.measures import Measures
from planner.ui.tools.tool_card import ToolCard


class FactFields:
    """Fields for the facts of one meaning.

    Args:
        card: The card that they stand in.
        measures: Writes and reads lengths.
        grounds: Ground classes, key to description.

    Attributes:
        fields: Key of a fact to its field.
    """

    def __init__(self, card: ToolCard, measures: Measures, grounds: Mapping[str, str]) -> None:
        self._card, self._measures, self._grounds = card, measures, grounds
        self._facts: tuple[Fact, ...] = ()
        self.fields: dict[str, QWidget] = {}

    def show(self, meaning: Meaning, feature: Feature | None = None) -> None:
        """Puts up the fields of a meaning, with what a feature says, else with what is taken where nothing is said."""
        for old in self.fields.values():
            self._card.form.removeRow(old)
        self._facts, self.fields = meaning.facts, {}
        for fact in meaning.facts:
            said = feature.fact(fact.key) if feature is not None else fact.default
            tip = f"Where nothing is said, {fact.default} is taken." if fact.default else ""
            if meaning.key == "ground" and fact.key == "class" and self._grounds:
                known = {**self._grounds, **({said: f"{said}, not known"} if said not in self._grounds else {})}
                self.fields[fact.key] = self._card.choice(fact.label, list(known.items()), said or fact.default, tip)
            elif fact.kind == "choice":
                choices = [(choice, choice) for choice in fact.choices]
                if not fact.default:
                    choices.insert(0, ("", "not said"))
                self.fields[fact.key] = self._card.choice(fact.label, choices, said or fact.default, tip)
            else:
                label = f"{fact.label} ({fact.unit})" if fact.unit and fact.unit != "m" else fact.label
                self.fields[fact.key] = self._card.text(label, self._shown(fact, said), tip)

    def read(self) -> dict[str, str]:
        """What the fields say, by fact, as it is kept; empty ones are left out.

        Raises:
            PlannerError: A field holds no such number, choice or date.
        """
        said: dict[str, str] = {}
        for fact in self._facts:
            widget = self.fields[fact.key]
            if isinstance(widget, QComboBox):
                text = str(widget.currentData() or "")
            else:
                assert isinstance(widget, QLineEdit)
                text = self._metres(fact, widget.text().strip())
            if text:
                said[fact.key] = checked_text(fact, text)
        return said

    def _shown(self, fact: Fact, text: str) -> str:
        if fact.kind != "number" or fact.unit != "m" or not text:
            return text
        try:
            return self._measures.length(float(text), 2 if float(text) % 1 else 0)
        except ValueError:
            return text

    def _metres(self, fact: Fact, text: str) -> str:
        if fact.kind != "number" or fact.unit != "m" or not text:
            return text
        try:
            return f"{self._measures.parse_length(text):g}"
        except OutOfRange:
            return text  # refused with the fact's own limits


def with_facts(feature: Feature, meaning: Meaning, facts: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    """The attributes of a feature with other facts of its meaning; what else its file said stays.

    Args:
        feature: The feature.
        meaning: Its meaning from now on.
        facts: Facts by key.
    """
    own = {fact.key for fact in meaning.facts}
    return (*facts.items(), *((key, value) for key, value in feature.attributes if key not in own))
