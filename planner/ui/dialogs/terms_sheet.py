"""Terms of the quote: mark-up, rates and multipliers of labour, extras, and the texts that are agreed to."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from PySide6.QtCore import QEvent, QObject, Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QPlainTextEdit, QPushButton, QVBoxLayout, QWidget

from planner.errors import OutOfRange
from planner.job.quote_terms import Extra, Multiplier, QuoteTerms
from planner.numerals import decimal_of
from planner.ui.dialogs.cards_sheet import CardsSheet
from planner.ui.panels.cards import Card, Words, button
from planner.ui.panels.fields import Field, SettingField
from planner.ui.panels.price_card import parse_money
from planner.ui.panels.rows_model import Column
from planner.ui.panels.table import RowTable

_TEXTS = (
    ("supplies", "Who supplies what", 2), ("remeasure", "Re-measure", 4), ("payment", "Payment", 2),
    ("inclusions", "Included, one a line", 5), ("exclusions", "Left out, one a line", 5),
    ("duties", "Who sees to what, one a line", 10))
_AT_LEFT = 4
_LISTS = ("inclusions", "exclusions", "duties")
CAUTION = ("The texts are defaults of common practice and no legal advice. Somebody must ask about underground "
           "services before a post goes in, and a licensed surveyor fixes a boundary where it matters: leave both in.")


@dataclass(frozen=True, slots=True)
class LabourTerms:
    """One component of the work with its rate and its multipliers.

    Attributes:
        component: One of ``materials.labour.COMPONENTS``.
        rate: What a person-hour of it costs; None for the price of labour.
        factors: Ground class key, or ``EVERY_GROUND``, to multiplier.
    """

    component: str
    rate: Decimal | None
    factors: dict[str, float]


class Sentences(QPlainTextEdit):
    """A text that is taken when the keyboard leaves it.

    Attributes:
        left: The keyboard left it.
    """

    left = Signal()

    def __init__(self, name: str, lines: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setTabChangesFocus(True)
        self.ensurePolished()
        self.setFixedHeight(round((lines + 0.3) * self.fontMetrics().lineSpacing()) + 16)
        self.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Tells when the keyboard leaves."""
        if watched is self and event.type() == QEvent.Type.FocusOut:
            self.left.emit()
        return super().eventFilter(watched, event)


class TermsSheet(CardsSheet):
    """The terms of the quote of the job in hand."""

    title = "Terms of the quote"
    wide, high = 1080, 720

    def build(self) -> None:
        """Puts the cards in: figures and extras, labour across the whole sheet, texts."""
        grid = QGridLayout()
        grid.setSpacing(10)
        grid.addWidget(self._build_figures(), 0, 0)
        grid.addWidget(self._build_extras(), 0, 1)
        grid.addWidget(self._build_labour(), 1, 0, 1, 2)
        grid.addWidget(self._build_texts(), 2, 0, 1, 2)
        grid.setRowStretch(3, 1)
        grid.setColumnStretch(0, 1)
        grid.setColumnStretch(1, 1)
        self.cards.addLayout(grid)

    def _build_figures(self) -> Card:
        card = Card("Price", self)
        self.mark_up = Field("Mark-up on materials and labour", self._take_mark_up,
                             tip="Added before tax, in per cent.")
        self.valid = Field("The quote stands for", self._take_days, tip="Days from its date, 1 to 3650.")
        self.tax = SettingField("tax_rate", "Tax", self._take_setting)
        for one in (self.mark_up, self.valid, self.tax):
            one.field.editingFinished.connect(lambda one=one: None if one.refusal.text else self.show_job())
            card.add(one)
        card.body.addStretch(1)
        return card

    def _build_extras(self) -> Card:
        card = Card("Extras, at a rate", self)
        self.extras = RowTable("Extras", (
            Column("what may come up", lambda row: row[1].what, stretch=True,
                   edit=lambda row, text: self._put_extra(row[0], what=_filled(text))),
            Column("unit", lambda row: row[1].unit, edit=lambda row, text: self._put_extra(row[0], unit=_filled(text))),
            Column("rate", lambda row: "to agree" if row[1].price is None else f"{row[1].price:.2f}", right=True,
                   typed=lambda row: "" if row[1].price is None else f"{row[1].price:f}", edit=self._edit_price,
                   tip="Before tax, mark-up included; leave it empty where it is to be agreed"),
        ), key=lambda row: row[0], most=6, parent=self)
        self.extras.refused.connect(self.refusal.say)
        self.drop_extra: QPushButton = button("Drop this one", self._drop_extra, kind="quiet")
        self.extras.chosen.connect(lambda _: self.drop_extra.setEnabled(True))
        card.add(self.extras)
        card.add_row(button("One more", self._add_extra, name="One more extra"), self.drop_extra)
        return card

    def _build_texts(self) -> Card:
        card = Card("What the quote says", self)
        self.texts: dict[str, Sentences] = {}
        sides = QHBoxLayout()
        sides.setSpacing(14)
        for texts in (_TEXTS[:_AT_LEFT], _TEXTS[_AT_LEFT:]):
            side = QVBoxLayout()
            for name, label, lines in texts:
                box = self.texts[name] = Sentences(label, lines, card)
                box.left.connect(lambda name=name: self._take_text(name))
                head = QLabel(label, card)
                head.setBuddy(box)
                side.addWidget(head)
                side.addWidget(box)
            side.addStretch(1)
            sides.addLayout(side, 1)
        card.body.addLayout(sides)
        card.add(Words(CAUTION))
        card.body.addStretch(1)
        return card

    def _build_labour(self) -> Card:
        from planner.job.derive import catalogue_of

        grounds = catalogue_of(self.document.job).grounds
        card = Card("Labour: rates, and how many times longer it takes", self)
        factor_columns = [self._factor_column("any ground", "", "Falls on the whole component, on top of the "
                                              "ground, as where no vehicle can go"),
                          *(self._factor_column(key, key, f"{ground.description}: in place of its own factor")
                            for key, ground in grounds.items())]
        self.labour = RowTable("Labour by component", (
            Column("component", lambda row: row.component, stretch=True, strong=True),
            Column("a person-hour", lambda row: "as labour" if row.rate is None else f"{row.rate:.2f}", right=True,
                   typed=lambda row: "" if row.rate is None else f"{row.rate:f}", edit=self._edit_rate,
                   tip="Before mark-up and tax; empty for the price of labour"),
            *factor_columns), key=lambda row: row.component, most=40, parent=self)
        self.labour.refused.connect(self.refusal.say)
        card.add(self.labour, Words("A dash is the usual: the ground's own factor, or none. Empty a cell to go "
                                    "back to it. Time for service enquiries and for working clear of strained wire "
                                    "belongs in."))
        return card

    def _factor_column(self, title: str, ground: str, tip: str) -> Column:
        return Column(title, lambda row: _factor(row.factors.get(ground)), right=True,
                      edit=lambda row, text: self._edit_factor(row, ground, text), tip=tip)

    # showing

    def show_job(self) -> None:
        """Shows the terms as they are now."""
        from planner.materials.labour import COMPONENTS

        job = self.document.job
        terms = job.terms
        self.mark_up.show_text(f"{_plain(terms.mark_up * 100)} %")
        self.valid.show_text(f"{terms.valid_days} days")
        self.tax.show_setting(job.settings, self.window_of_work.measures)
        self.extras.show_rows(list(enumerate(terms.extras)))
        self.extras.setVisible(bool(terms.extras))
        self.drop_extra.setEnabled(self.extras.key_in_hand is not None)
        rates = terms.rate_of
        self.labour.show_rows([LabourTerms(name, rates.get(name), {
            m.ground: m.factor for m in terms.multipliers if m.component == name}) for name in COMPONENTS])
        for name, box in self.texts.items():
            text = _joined(getattr(terms, name))
            if box.toPlainText() != text and not (box.hasFocus() and box.document().isModified()):
                box.setPlainText(text)

    # changing

    def _put(self, **values: Any) -> None:
        from planner.job.edits import ChangeQuoteTerms

        self.attempt(ChangeQuoteTerms(replace(self.document.job.terms, **values)))
        self.refusal.say("")

    def _take_setting(self, name: str, value: str | float) -> None:
        from planner.job.edits import ChangeSettings

        self.attempt(ChangeSettings(((name, value),)))

    def _take_mark_up(self, text: str) -> None:
        self._put(mark_up=_number(text.rstrip("% "), "mark-up in per cent") / 100)

    def _take_days(self, text: str) -> None:
        days = _number(text.removesuffix("days").removesuffix("day").strip(), "number of days")
        if days != int(days):
            raise OutOfRange(f"'{text}' is no whole number of days", remedy="type one such as 30")
        self._put(valid_days=int(days))

    def _take_text(self, name: str) -> None:
        if not self.texts[name].document().isModified():
            return
        self.texts[name].document().setModified(False)
        typed = self.texts[name].toPlainText()
        value: object = " ".join(typed.split())
        if name in _LISTS:
            value = tuple(" ".join(row.split()) for row in typed.splitlines() if row.strip())
        if _joined(value) != _joined(getattr(self.document.job.terms, name)):
            self._put(**{name: value})

    def _put_extra(self, place: int, **values: Any) -> None:
        self._put(extras=tuple(replace(extra, **values) if k == place else extra
                               for k, extra in enumerate(self.document.job.terms.extras)))

    def _edit_price(self, row: tuple[int, Extra], text: str) -> None:
        bare = text.strip()
        price = None if not bare or bare == "to agree" else parse_money(bare, self.document.job.settings.currency)
        self._put_extra(row[0], price=price)

    def _add_extra(self) -> None:
        extras = self.document.job.terms.extras
        self._put(extras=(*extras, Extra("Something else", "each")))
        self.extras.choose(len(extras))
        self.extras.setFocus()
        self.extras.edit_cell(len(extras), 0)

    def _drop_extra(self) -> None:
        place = self.extras.key_in_hand
        self._put(extras=tuple(extra for k, extra in enumerate(self.document.job.terms.extras) if k != place))

    def _edit_rate(self, row: LabourTerms, text: str) -> None:
        rates = dict(self.document.job.terms.rates)
        rates.pop(row.component, None)
        if text.strip() not in ("", "–", "as labour"):
            rates[row.component] = parse_money(text, self.document.job.settings.currency)
        self._put(rates=tuple(rates.items()))

    def _edit_factor(self, row: LabourTerms, ground: str, text: str) -> None:
        terms: QuoteTerms = self.document.job.terms
        kept = [m for m in terms.multipliers if (m.component, m.ground) != (row.component, ground)]
        bare = text.replace("×", "").strip()
        if bare not in ("", "–"):
            kept.append(Multiplier(row.component, ground, float(_number(bare, "multiplier"))))
        self._put(multipliers=tuple(kept))


def _joined(value: Any) -> str:
    return value if isinstance(value, str) else "\n".join(value)


def _factor(factor: float | None) -> str:
    return "–" if factor is None else f"{factor:g}"


def _plain(amount: Decimal) -> str:
    text = f"{amount:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _filled(text: str) -> str:
    if not text.strip():
        raise OutOfRange("nothing was typed", remedy="type something, or drop the row")
    return text.strip()


def _number(text: str, what: str) -> Decimal:
    found = decimal_of(text)
    if found is None:
        raise OutOfRange(f"'{text}' is no {what}", remedy="type a number")
    return found
