"""Settings: what a person likes in the window, and the settings of the job with their limits, meaning and source."""

from __future__ import annotations

from dataclasses import fields
from typing import cast

from PySide6.QtCore import Qt
from PySide6.QtGui import QFontMetricsF
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QFormLayout,
    QFrame,
    QHeaderView,
    QLabel,
    QLineEdit,
    QSpinBox,
    QTableWidget,
    QTableWidgetItem,
    QWidget,
)

from planner.errors import PlannerError
from planner.job.edits import ChangeSettings
from planner.numerals import with_point
from planner.settings import Settings
from planner.ui.dialogs.sheet import Sheet, words
from planner.ui.preferences import PREFERENCES, Preference

COLUMNS = ("What it is", "Value", "Unit", "From", "To", "Source")
VALUE = 1


class SettingsDialog(Sheet):
    """Both tables of settings."""

    title = "Settings"
    wide, high = 860, 640

    def fill(self) -> None:
        """Puts both tables in."""
        self.choosers: dict[str, QWidget] = {}
        self.column.addWidget(words("The window", self, "title"))
        card = QFrame(self)
        card.setObjectName("card")
        form = QFormLayout(card)
        form.setContentsMargins(14, 10, 14, 10)
        form.setHorizontalSpacing(20)
        for preference in PREFERENCES:
            chooser = self._chooser(preference)
            self.choosers[preference.name] = chooser
            label = QLabel(preference.label, card)
            label.setBuddy(chooser)
            chooser.setMaximumWidth(round(360 * self.window_of_work.look.scale))
            form.addRow(label, chooser)
        self.column.addWidget(card)
        self.job_title = words("This job", self, "title")
        self.search = QLineEdit(self)
        self.search.setPlaceholderText("Find a setting")
        self.search.setAccessibleName("Find a setting")
        self.search.textChanged.connect(self._narrow)
        self.table = self._table()
        self.trouble = words("", self)
        self.trouble.setAccessibleName("What is wrong with what was typed")
        for widget in (self.job_title, self.search, self.table, self.trouble):
            self.column.addWidget(widget)
        self.trouble.hide()
        self.window_of_work.document.job_changed.connect(self._show_job)
        self._show_job()

    # the window

    def _chooser(self, preference: Preference) -> QWidget:
        chosen = self.window_of_work.preferences
        if preference.choices is None and isinstance(preference.default, int):
            spin = QSpinBox(self)
            spin.setRange(preference.low, preference.high)
            spin.setSingleStep(10 if preference.unit == "%" else 5)
            spin.setSuffix(f" {preference.unit}")
            spin.lineEdit().setTextMargins(4, 0, 0, 0)
            spin.setKeyboardTracking(False)
            spin.setValue(chosen.number(preference.name))
            spin.valueChanged.connect(lambda value: chosen.choose(preference.name, value))
            return self._told(spin, preference)
        box = QComboBox(self)
        for value, text in (preference.choices or _fences()).items():
            box.addItem(text, value)
        box.setCurrentIndex(max(0, box.findData(chosen.text(preference.name))))
        box.currentIndexChanged.connect(lambda at: chosen.choose(preference.name, str(box.itemData(at))))
        return self._told(box, preference)

    def _told(self, chooser: QWidget, preference: Preference) -> QWidget:
        chooser.setAccessibleName(preference.label)
        chooser.setToolTip(preference.meaning)
        return chooser

    # the job

    def _table(self) -> QTableWidget:
        known = fields(Settings)
        table = QTableWidget(len(known), len(COLUMNS), self)
        table.setAccessibleName("Settings of the job")
        table.setHorizontalHeaderLabels(list(COLUMNS))
        for column in (VALUE, 3, 4):
            heading = table.horizontalHeaderItem(column)
            if heading is not None:
                heading.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        table.verticalHeader().hide()
        table.setAlternatingRowColors(True)
        table.setShowGrid(False)
        table.setTabKeyNavigation(False)
        table.setEditTriggers(QAbstractItemView.EditTrigger.AllEditTriggers)
        table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        for row, field in enumerate(known):
            told = field.metadata
            texts = (str(told["meaning"]), "", str(told["unit"]), _figure(told.get("low")), _figure(told.get("high")),
                     str(told["source"]))
            for column, text in enumerate(texts):
                item = QTableWidgetItem(text)
                item.setToolTip(f"{text}\n{field.name}" if column == 0 else text)
                flags = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
                item.setFlags(flags | Qt.ItemFlag.ItemIsEditable if column == VALUE else flags)
                if column in (VALUE, 3, 4):
                    item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
                item.setData(Qt.ItemDataRole.UserRole, field.name)
                table.setItem(row, column, item)
        head = table.horizontalHeader()
        head.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        head.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        head.setSectionResizeMode(5, QHeaderView.ResizeMode.Interactive)
        head.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        letters = QFontMetricsF(self.window_of_work.look.font())
        table.verticalHeader().setDefaultSectionSize(round(letters.height()) + 9)
        table.setColumnWidth(5, round(letters.horizontalAdvance(str(known[0].metadata["source"]))) + 24)
        table.itemChanged.connect(self._changed)
        return table

    def _show_job(self, *_: object) -> None:
        settings = self.window_of_work.document.job.settings
        default = Settings()
        self.table.blockSignals(True)
        for row, field in enumerate(fields(Settings)):
            value = getattr(settings, field.name)
            item = cast("QTableWidgetItem", self.table.item(row, VALUE))
            item.setText(_text(value))
            font = item.font()
            font.setBold(value != getattr(default, field.name))
            item.setFont(font)
        self.table.blockSignals(False)
        self.table.setEnabled(self.window_of_work.has_job)
        self.job_title.setText("This job" if self.window_of_work.has_job else "This job: none is open")

    def _changed(self, item: QTableWidgetItem) -> None:
        name, document = str(item.data(Qt.ItemDataRole.UserRole)), self.window_of_work.document
        value = with_point(item.text())
        try:
            document.job.settings.changed({name: value})
        except PlannerError as trouble:
            self.trouble.setText(str(trouble))
            self.trouble.show()
        else:
            self.trouble.hide()
            document.do(ChangeSettings(((name, value),)))
        self._show_job()

    def _narrow(self, text: str) -> None:
        wanted = text.strip().lower().split()
        for row, field in enumerate(fields(Settings)):
            told = f"{field.name} {field.metadata['meaning']}".lower()
            self.table.setRowHidden(row, not all(word in told for word in wanted))


def _fences() -> dict[str, str]:
    from planner.spec.catalogue import load_catalogue

    return {key: fence.name for key, fence in load_catalogue().fences.items()}


def _figure(value: object) -> str:
    return "" if value is None else f"{value:g}"


def _text(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, float) else str(value)


