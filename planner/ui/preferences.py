"""Preferences: what a person likes in the window, whatever the job. One table; the settings page is made from it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import cast

from PySide6.QtCore import QByteArray, QObject, QSettings, Signal

from planner.errors import BadSetting
from planner.ui.measures import Coordinates, Measures, System
from planner.ui.theme import Theme, ThemeName, theme

ORGANISATION, APPLICATION = "Strainwright", "Strainwright"
RECENT_MOST = 8


@dataclass(frozen=True, slots=True)
class Preference:
    """One preference.

    Attributes:
        name: Name it is kept under.
        label: What the settings page calls it.
        default: Value where nothing was chosen; its type is that of the preference.
        meaning: What it does, in one sentence.
        choices: Value to what it is called, where only these may be had.
        low: Least value of a number.
        high: Greatest value of a number.
        unit: Unit of a number.
    """

    name: str
    label: str
    default: str | int
    meaning: str
    choices: Mapping[str, str] | None = None
    low: int = 0
    high: int = 0
    unit: str = ""


PREFERENCES: tuple[Preference, ...] = (
    Preference("units", "Units", "metric", "Units in which lengths and forces are shown; any unit may be typed.",
               {"metric": "metres, kilonewtons", "imperial": "feet, pounds-force", "chains": "chains and links"}),
    Preference("coordinates", "Coordinates", "grid", "How the place under the pointer is written.",
               {"grid": "grid east and north", "degrees": "decimal degrees", "dms": "degrees, minutes, seconds"}),
    Preference("theme", "Colours", "light", "Colours of the window, the map and the strip.",
               {"light": "light", "dark": "dark", "contrast": "high contrast"}),
    Preference("text_percent", "Size of text", 100, "Size of all text in the window.", low=80, high=150, unit="%"),
    Preference("fence", "Fence of a new line", "general-mesh", "Fence type that a new line is given."),
)
_BY_NAME = {preference.name: preference for preference in PREFERENCES}


class Preferences(QObject):
    """What was chosen, kept between runs.

    Args:
        store: Where it is kept; the user's own place under the program's name when None.
        parent: Qt parent.

    Attributes:
        changed: Name of the preference that changed.
    """

    changed = Signal(str)

    def __init__(self, store: QSettings | None = None, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._store = store if store is not None else QSettings(
            QSettings.Format.IniFormat, QSettings.Scope.UserScope, ORGANISATION, APPLICATION)

    def value(self, name: str) -> str | int:
        """What is chosen; the default where nothing usable is kept.

        Args:
            name: Name of the preference.

        Raises:
            BadSetting: There is no such preference.
        """
        known = _known(name)
        kept = self._store.value(f"preferences/{name}", known.default)
        try:
            return _checked(known, cast("str | int", kept))
        except BadSetting:
            return known.default

    def text(self, name: str) -> str:
        """A preference that is a text."""
        return str(self.value(name))

    def number(self, name: str) -> int:
        """A preference that is a number."""
        return int(self.value(name))

    def choose(self, name: str, value: str | int) -> None:
        """Chooses, keeps it, and tells whoever listens when it is another value.

        Args:
            name: Name of the preference.
            value: The value.

        Raises:
            BadSetting: There is no such preference, or it cannot have this value.
        """
        checked = _checked(_known(name), value)
        if checked != self.value(name):
            self._store.setValue(f"preferences/{name}", checked)
            self.changed.emit(name)

    def look(self) -> Theme:
        """The theme chosen, in the size of text chosen."""
        return theme(cast("ThemeName", self.text("theme")), scale=self.number("text_percent") / 100.0)

    def measures(self) -> Measures:
        """How values are shown and read."""
        return Measures(cast("System", self.text("units")), cast("Coordinates", self.text("coordinates")))

    # what the window remembers by itself

    def recent(self) -> list[Path]:
        """Jobs opened or saved lately that are still there, the latest first."""
        kept = self._store.value("recent/jobs", [])
        names = [kept] if isinstance(kept, str) else list(cast("list[str]", kept or []))
        return [path for path in map(Path, names) if path.is_file()][:RECENT_MOST]

    def remember_job(self, path: Path) -> None:
        """Puts a job at the head of the recent ones."""
        path = path.resolve()
        others = [other for other in self.recent() if other != path]
        self._store.setValue("recent/jobs", [str(p) for p in (path, *others)][:RECENT_MOST])

    def kept_bytes(self, name: str) -> QByteArray:
        """A state of the window kept by :meth:`keep_bytes`; empty when none is."""
        kept = self._store.value(f"window/{name}")
        return kept if isinstance(kept, QByteArray) else QByteArray()

    def keep_bytes(self, name: str, state: QByteArray) -> None:
        """Keeps a state of the window, such as the places of its splitters."""
        self._store.setValue(f"window/{name}", state)

    def flush(self) -> None:
        """Writes everything to disk now."""
        self._store.sync()


def _known(name: str) -> Preference:
    if name not in _BY_NAME:
        raise BadSetting(f"there is no preference '{name}'", remedy=f"use one of {', '.join(_BY_NAME)}")
    return _BY_NAME[name]


def _checked(known: Preference, value: str | int) -> str | int:
    if known.choices is not None and str(value) not in known.choices:
        raise BadSetting(f"'{value}' cannot be chosen", where=f"preference '{known.label}'",
                         remedy=f"choose {', '.join(known.choices)}")
    if isinstance(known.default, str):
        return str(value)
    try:
        number = int(float(value))
    except ValueError:
        number = known.low - 1
    if not known.low <= number <= known.high:
        raise BadSetting(f"'{value}' is not a number from {known.low} to {known.high} {known.unit}".rstrip(),
                         where=f"preference '{known.label}'", remedy="give one inside these limits")
    return number
