"""Columns of the tables of what was written down since the work began."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from planner.errors import BadSetting
from planner.ui.panels.rows_model import Column
from planner.upkeep.records import COMPONENTS
from planner.upkeep.typed import day_gone_by, typed_money, typed_number

if TYPE_CHECKING:
    from planner.ui.main_window import MainWindow

Change = Callable[[int, dict[str, Any]], None]


def progress_columns(window: MainWindow, take: Callable[[str, str, str, float], None]) -> tuple[Column, ...]:
    """Columns of the progress of sections; a share is typed as a percentage.

    Args:
        window: Says how lengths are written.
        take: Takes line, section, part of the work and its share.
    """
    def part(number: int) -> Column:
        name = COMPONENTS[number]
        return Column(
            f"{name} %", lambda row: f"{100.0 * row.shares[number]:.0f}", right=True,
            edit=lambda row, text: take(row.line, row.section, name,
                                        typed_number(text, name, low=0.0, high=100.0) / 100.0),
            tip=f"How much of the {name} is done" if name != "finished" else "How much is finished, all parts of it")

    return (Column("line", lambda row: row.line, stretch=True), Column("section", lambda row: row.section, strong=True),
            _length(window, "length", lambda row: row.slope_m), *(part(k) for k in range(len(COMPONENTS))),
            Column("last said", lambda row: _day(row.on), spare=1))


def built_columns(window: MainWindow) -> tuple[Column, ...]:
    """Columns of what was built against what was planned.

    Args:
        window: Says how lengths are written.
    """
    return (
        Column("measured", lambda row: row.name, stretch=True, strong=True), Column("line", lambda row: row.line),
        _length(window, "along the line", lambda row: row.planned_slope_m,
                tip="Length along the ground beside the line: the one to invoice by where a walk reads long"),
        _length(window, "as measured", lambda row: row.measured_slope_m or None),
        _length(window, "off, mean", lambda row: row.mean_off_m),
        Column("off, most", lambda row: _metres(window, row.greatest_off_m), right=True,
               loud=lambda row: row.greatest_off_m > max(row.explained_m, 1.0)),
        _length(window, "explained", lambda row: row.explained_m, spare=1,
                tip="How far off the accuracy of both can account for, at 95 %"))


def inspection_columns(lines: Callable[[], list[str]], change: Change) -> tuple[Column, ...]:
    """Columns of inspections; a row is its number and the inspection.

    Args:
        lines: Names of the lines.
        change: Takes the number of an inspection and what is to be another in it.
    """
    def words(name: str, title: str, **more: Any) -> Column:
        return Column(title, lambda row: getattr(row[1], name) or "–", typed=lambda row: getattr(row[1], name),
                      edit=lambda row, text: change(row[0], {name: text}), **more)

    return (
        Column("day", lambda row: row[1].on.isoformat(),
               edit=lambda row, text: change(row[0], {"on": _some_day(text)})),
        Column("line", lambda row: row[1].line, choices=lambda row: [(n, n) for n in lines()],
               edit=lambda row, text: change(row[0], {"line": text, "section": ""})),
        words("section", "section"), words("by", "by", spare=2),
        words("found", "found", stretch=True, strong=True), words("action", "to do"),
        Column("done", lambda row: "yes" if row[1].done else "no", typed=lambda row: "yes" if row[1].done else "no",
               choices=lambda row: [("yes", "yes"), ("no", "no")],
               edit=lambda row, text: change(row[0], {"done": text == "yes"}),
               loud=lambda row: bool(row[1].found) and not row[1].done),
        Column("kV", lambda row: "–" if row[1].far_end_kv is None else f"{row[1].far_end_kv:g}", right=True, spare=1,
               edit=lambda row, text: change(row[0], {"far_end_kv": None if text in ("", "–") else typed_number(
                   text, "voltage at the far end", low=0.0, high=20.0)}), tip="Voltage measured at the far end"),
        words("floodgate", "floodgates", spare=3),
        Column("cost", lambda row: _money(row[1].cost), right=True, spare=1,
               edit=lambda row, text: change(row[0], {"cost": typed_money(text, "cost")})))


def asset_columns(window: MainWindow, change: Callable[[str, dict[str, Any]], None]) -> tuple[Column, ...]:
    """Columns of fences that stand; when a line was finished, what it cost and how long it stands can be typed.

    Args:
        window: Says how lengths are written.
        change: Takes the name of a line and what is to be another of it.
    """
    def mine(row: Any) -> bool:
        return any(built.line == row.name for built in window.document.job.records.built)

    return (
        Column("fence", lambda row: row.name, stretch=True, strong=True, under=lambda row: row.condition),
        Column("type", lambda row: row.kind, spare=1), _length(window, "length", lambda row: row.length_m),
        Column("built", lambda row: row.built or "–", may_edit=mine,
               edit=lambda row, text: change(row.name, {"on": _some_day(text)})),
        Column("age", lambda row: _years(row.age_years), right=True),
        Column("life", lambda row: _years(row.life_years), right=True, may_edit=mine,
               edit=lambda row, text: change(row.name, {"life_years": typed_number(text, "life", low=1.0, high=100.0)}),
               tip="Years that it is expected to stand"),
        Column("cost new", lambda row: _money(row.cost), right=True, may_edit=mine,
               edit=lambda row, text: change(row.name, {"cost": typed_money(text, "cost")})),
        Column("value left", lambda row: _money(row.value), right=True, strong=True,
               tip="Straight-line depreciation from first cost over life"))


def loss_columns(window: MainWindow, fences: Callable[[], list[str]], change: Change) -> tuple[Column, ...]:
    """Columns of losses; a row is its number, the loss and what it comes to.

    Args:
        window: Says how lengths are written.
        fences: Names of lines and standing fences.
        change: Takes the number of a loss and what is to be another in it.
    """
    def place(name: str, title: str) -> Column:
        return Column(title, lambda row: _metres(window, getattr(row[1], name)), right=True,
                      edit=lambda row, text: change(row[0], {name: window.preferences.measures().parse_length(text)}))

    return (
        Column("day", lambda row: row[1].on.isoformat(),
               edit=lambda row, text: change(row[0], {"on": _some_day(text)})),
        Column("cause", lambda row: row[1].cause, strong=True,
               edit=lambda row, text: change(row[0], {"cause": text or "not said"})),
        Column("fence", lambda row: row[1].line, stretch=True, choices=lambda row: [(n, n) for n in fences()],
               edit=lambda row, text: change(row[0], {"line": text})),
        place("from_m", "from"), place("to_m", "to"),
        Column("cost new", lambda row: _money(row[2].cost if row[2] else None), right=True, spare=1),
        Column("value then", lambda row: _money(row[2].value if row[2] else None), right=True),
        Column("hours", lambda row: f"{row[1].hours:g}", right=True, spare=1,
               edit=lambda row, text: change(row[0], {"hours": typed_number(text, "hours", low=0.0, high=1e6)})),
        Column("photos", lambda row: row[1].photos or "none yet", typed=lambda row: row[1].photos,
               edit=lambda row, text: change(row[0], {"photos": text}), loud=lambda row: not row[1].photos,
               tip="Pictures taken before repair, and where they are kept"))


def _length(window: MainWindow, title: str, value: Callable[[Any], float | None], *, tip: str = "",
            spare: int = 0) -> Column:
    return Column(title, lambda row: _metres(window, value(row)), right=True, tip=tip, spare=spare)


def _metres(window: MainWindow, value: float | None) -> str:
    return "–" if value is None else window.preferences.measures().length(value)


def _day(day: date | None) -> str:
    return "–" if day is None else day.isoformat()


def _some_day(text: str) -> date:
    day = day_gone_by(text)
    if day is None:
        raise BadSetting("there is no day", remedy="write it as 2026-03-31")
    return day


def _years(years: float | None) -> str:
    return "–" if years is None else f"{years:.0f}"


def _money(amount: Decimal | None) -> str:
    return "–" if amount is None else f"{amount:,.2f}".replace(",", "\u202f")
