"""The features of a job as a list: what each means, its facts, shown on the map, opened, renamed, taken away."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from planner.errors import OutOfRange
from planner.survey.feature_meanings import BY_KEY
from planner.survey.features import Feature
from planner.ui.document import Document, Selection
from planner.ui.measures import count
from planner.ui.panels.cards import Card, Words, button
from planner.ui.panels.marks import Refusal
from planner.ui.panels.rows_model import Column
from planner.ui.panels.table import RowTable

MOST_LISTED = 2000


@dataclass(frozen=True)
class FeatureRow:
    """A feature in the list.

    Attributes:
        feature: The feature.
        place: Its place among the features of the job.
    """

    feature: Feature
    place: int


class FeatureList:
    """The list.

    Args:
        card: The card that it stands in.
        document: The document.
        show: Shows a feature on the map.
        open_it: Opens a feature in the tool that changes it.
    """

    def __init__(self, card: Card, document: Document, show: Callable[[Feature], None],
                 open_it: Callable[[Feature], None]) -> None:
        self.card, self._document, self._show, self._open = card, document, show, open_it
        self.table = RowTable("Features", (
            Column("name", lambda row: row.feature.name, stretch=True, strong=True, edit=self._rename),
            Column("is", lambda row: called(row.feature)),
            Column("facts", lambda row: facts_told(row.feature), spare=1),
        ), key=lambda row: row.place, most=8)
        self.words, self.refusal = Words(), Refusal()
        self.change = button("Open", self._open_chosen, tip="Change what it is and its facts")
        self.remove = button("Remove", self._remove, tip="Undo brings it back")
        self.table.chosen.connect(self._choose)
        self.table.refused.connect(self.refusal.say)
        card.add(self.table, self.words, self.refusal)
        card.add_row(self.change, self.remove)

    @property
    def chosen(self) -> Feature | None:
        """The feature that is chosen."""
        feature = self._document.selection.feature
        return feature if feature in self._document.job.features else None

    def fill(self) -> None:
        """Shows the features of the job as they are now."""
        features = self._document.job.features
        self.card.setVisible(bool(features))
        self.card.aside.setText(count(len(features), "feature"))
        self.table.show_rows([FeatureRow(f, place) for place, f in enumerate(features[:MOST_LISTED])])
        self.show_chosen()

    def show_chosen(self) -> None:
        """Shows what is chosen."""
        feature, features = self.chosen, self._document.job.features
        self.table.choose(features.index(feature) if feature is not None else None)
        self.change.setEnabled(feature is not None)
        self.remove.setEnabled(feature is not None)
        self.words.say(self._words(feature))

    def _words(self, feature: Feature | None) -> str:
        more = len(self._document.job.features) - MOST_LISTED
        if feature is None:
            return f"{more} more are on the map and not listed here." if more > 0 else ""
        if feature.meaning not in BY_KEY:
            return f"No check knows '{feature.meaning}'; open it to say what it is."
        facts = facts_told(feature)
        return f"{called(feature)}{f': {facts}' if facts else ''}. {BY_KEY[feature.meaning].means}"

    def _choose(self, place: object) -> None:
        if isinstance(place, int) and place < len(self._document.job.features):
            feature = self._document.job.features[place]
            if feature is not self._document.selection.feature:
                self._document.select(replace(self._document.selection, feature=feature))
                self._show(feature)

    def _open_chosen(self) -> None:
        if self.chosen is not None:
            self._open(self.chosen)

    def _rename(self, row: FeatureRow, text: str) -> None:
        from planner.job.edits import ChangeFeature

        if not text.strip():
            raise OutOfRange("a feature needs a name for the sheets", remedy="type one")
        self._document.do(ChangeFeature(row.feature, replace(row.feature, name=text.strip())))

    def _remove(self) -> None:
        from planner.job.edits import RemoveFeature

        feature = self.chosen
        if feature is not None and self._document.do(RemoveFeature(feature)):
            self._document.select(Selection(line=self._document.selection.line))


def called(feature: Feature) -> str:
    """What the meaning of a feature is called.

    Args:
        feature: The feature.
    """
    return BY_KEY[feature.meaning].label if feature.meaning in BY_KEY else feature.meaning


def facts_told(feature: Feature) -> str:
    """The facts of a feature that checks read, in short.

    Args:
        feature: The feature.
    """
    known = BY_KEY.get(feature.meaning)
    told = [f"{feature.fact(fact.key)}{f' {fact.unit}' if fact.unit else ''}" if fact.kind == "choice" or not fact.unit
            else f"{fact.label.lower()} {feature.fact(fact.key)} {fact.unit}"
            for fact in (known.facts if known else ()) if feature.fact(fact.key)]
    return ", ".join(told)
