"""Words and figures that several panels share."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import PurePath
from typing import TYPE_CHECKING

from planner.jobpack.page.measures import NO_BREAK, grouped, pack_decimals
from planner.ui.measures import Measures
from planner.units import FOOT_M, KGF_N, POUND_KG, Degree, Kilogram, Metre, Newton

if TYPE_CHECKING:
    from planner.job.plan import JobPlan, LinePlan
    from planner.materials.takeoff import TakeoffRow
    from planner.sections.strains import Section, SectionEnd

SHORT_CAUSE: Mapping[str, str] = {
    "line end": "end", "corner": "corner", "gate": "gate", "crossing": "crossing", "junction": "junction",
    "grade break": "break", "longest strain": "cut"}
"""Why a section ends, in a word."""
ADVISORY = "Advisory; check on site."


def plus_minus(metres: Metre, measures: Measures) -> str:
    """A standard deviation behind a length.

    Args:
        metres: Standard deviation. [m]
        measures: How lengths are shown.
    """
    decimals = 2 if metres < 0.1 else 1
    if measures.system == "imperial":
        return f"± {grouped(metres / FOOT_M, decimals)}"
    return f"± {measures.figure(metres, decimals)}"


def hands(newtons: Newton, measures: Measures) -> str:
    """A force as a spring balance shows it; empty where forces are shown in pounds already.

    Args:
        newtons: Force. [N]
        measures: How forces are shown.
    """
    return "" if measures.system == "imperial" else f"{grouped(newtons / KGF_N, 0)}{NO_BREAK}kgf"


def share(value: float, decimals: int = 0) -> str:
    """A share in per cent; where there is a little, or a little less than all, it does not say none or all.

    Args:
        value: The share, 1 for all.
        decimals: Decimals.

    Example:
        >>> share(0.852), share(0.002), share(0.998)
        ('85\\xa0%', '0.2\\xa0%', '99.8\\xa0%')
    """
    if decimals == 0 and (0.0 < value < 0.01 or 0.99 < value < 1.0):
        decimals = 1
    return f"{grouped(100.0 * value, decimals)}{NO_BREAK}%"


def mass(kilograms: Kilogram, measures: Measures) -> str:
    """A mass with its unit.

    Args:
        kilograms: Mass. [kg]
        measures: How values are shown.
    """
    if measures.system == "imperial":
        return f"{grouped(kilograms / POUND_KG, 0)}{NO_BREAK}lb"
    if kilograms >= 2000.0:
        return f"{grouped(kilograms / 1000.0, 1)}{NO_BREAK}t"
    return f"{grouped(kilograms, 0)}{NO_BREAK}kg"


def quantity(value: float, unit: str, measures: Measures) -> str:
    """A quantity of an item in its unit.

    Args:
        value: Quantity.
        unit: Unit of the item list: m, kg, each and others.
        measures: How values are shown.
    """
    if unit == "m":
        return measures.length(value, 0)
    if unit == "kg":
        return mass(value, measures) if value >= 10.0 else f"{grouped(value, 1)}{NO_BREAK}kg"
    number = grouped(value, 0 if abs(value - round(value)) < 1e-6 else 1)
    return number if unit in ("each", "") else f"{number}{NO_BREAK}{unit}"


def packs_words(row: TakeoffRow, measures: Measures) -> str:
    """What is bought of an item, as ``7 × 200 m + 1 × 100 m``.

    Args:
        row: The row of the materials list.
        measures: How values are shown.
    """
    lots = [(pack, number) for pack, number in row.lots or ((row.pack, row.packs),) if number]
    if row.unit != "m" and all(pack == 1.0 for pack, _ in lots):
        return quantity(row.order, row.unit, measures)
    return " + ".join(f"{grouped(number, 0)} × {_pack(pack, row.unit, measures)}" for pack, number in lots)


def _pack(size: float, unit: str, measures: Measures) -> str:
    if unit != "m" or measures.system == "chains":
        return quantity(size, unit, measures)
    value = size if measures.system == "metric" else size / FOOT_M
    return f"{grouped(value, pack_decimals(value))}{NO_BREAK}{measures.unit}"


def signed(degrees: Degree, decimals: int = 1) -> str:
    """An angle with its sign always written.

    Args:
        degrees: Angle. [deg]
        decimals: Decimals.
    """
    text = grouped(degrees, decimals)
    return f"{text}°" if degrees < 0 or round(degrees, decimals) == 0 else f"+{text}°"


def turn_words(degrees: Degree) -> str:
    """A plan turn: by how much, and to which side.

    Args:
        degrees: Turn, left positive. [deg]
    """
    if abs(degrees) < 0.05:
        return f"{grouped(0.0, 1)}°"
    return f"{grouped(abs(degrees), 1)}° {'L' if degrees > 0 else 'R'}"


def causes_short(end: SectionEnd) -> str:
    """Why a section ends, in a word: the firmest cause.

    Args:
        end: The end.
    """
    causes: list[str] = list(end.causes)
    firm = [cause for cause in causes if cause != "line end"] or causes
    return SHORT_CAUSE[firm[0]] if firm else ""


def kind_words(section: Section) -> str:
    """gate, crossing, or why it starts and ends.

    Args:
        section: The section.
    """
    if section.is_gate:
        return "gate"
    if section.is_crossing:
        return "crossing"
    return f"{causes_short(section.start)} → {causes_short(section.end)}"


def file_name(path: str) -> str:
    """The name of a file without its folders.

    Args:
        path: Full path, of any system.
    """
    return PurePath(path.replace("\\", "/")).name or path


def without_folders(text: str, paths: Sequence[str]) -> str:
    """A sentence with files called by their names alone.

    Args:
        text: The sentence.
        paths: Full paths that may stand in it.
    """
    for path in sorted(set(paths), key=len, reverse=True):
        if path:
            text = text.replace(path, file_name(path))
    return text


def line_of_section(plan: JobPlan | None, section: str) -> LinePlan | None:
    """The line that a section is part of.

    Args:
        plan: The plan.
        section: Section id.
    """
    if plan is None or not section:
        return None
    return next((line for line in plan.lines if any(s.id == section for s in line.sections)), None)
