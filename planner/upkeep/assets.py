"""Fences as assets: length, type, age, what they cost and what is left of that; and what a loss of them comes to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

import numpy as np

from planner.materials.ownership import upkeep_of
from planner.surroundings.situation import Planned, Situation
from planner.survey.feature_meanings import choice_of, number_of
from planner.survey.features import Feature
from planner.units import Metre
from planner.upkeep.records import Loss, Records

_CENT = Decimal("0.01")
_YEAR_D = 365.25


@dataclass(frozen=True, slots=True)
class Asset:
    """A fence that stands.

    Attributes:
        name: Name of the line, or of the standing fence.
        kind: Its fence type.
        length_m: Length along the ground; in plan for a standing fence that was only marked. [m]
        built: Day or year in which it was built, as text; empty when not known.
        age_years: Its age today. [a] None when not known.
        life_years: Years that it is expected to stand. [a] None when not known.
        cost: What it cost new; None when not known.
        value: What is left of that by straight-line depreciation; None when age, life or cost is not known.
        condition: What is known of its condition.
    """

    name: str
    kind: str
    length_m: Metre
    built: str
    age_years: float | None
    life_years: float | None
    cost: Decimal | None
    value: Decimal | None
    condition: str = ""


@dataclass(frozen=True, slots=True)
class LossRow:
    """A loss with what it comes to.

    Attributes:
        loss: What was written down.
        kind: Fence type of what was lost.
        length_m: Length along the ground. [m]
        age_years: Age at the day of the event. [a] None when not known.
        cost: What it cost new; None when not known.
        value: What it was worth at the event by straight-line depreciation; None when not known.
    """

    loss: Loss
    kind: str
    length_m: Metre
    age_years: float | None
    cost: Decimal | None
    value: Decimal | None


def value_left(cost: Decimal, *, age_years: float, life_years: float) -> Decimal:
    """What is left of a first cost by straight-line depreciation to nothing.

    Args:
        cost: First cost, in any money.
        age_years: Age. [a]
        life_years: Years that it stands. [a] Above zero.

    Source:
        Depreciation as in W. Edwards, Iowa State University Extension, estimated costs for livestock fencing, table 6:
        first cost over life, a year.

    Example:
        >>> value_left(Decimal(2000), age_years=5, life_years=20)
        Decimal('1500.00')
    """
    left = max(0.0, 1.0 - max(age_years, 0.0) / life_years)
    return (cost * Decimal(repr(left))).quantize(_CENT, ROUND_HALF_UP)


def assets(situation: Situation, records: Records, costs: Mapping[str, Decimal]) -> tuple[Asset, ...]:
    """Fences that stand: lines that were finished, then standing fences that are marked and are not pulled out.

    Args:
        situation: The situation.
        records: What was written down.
        costs: Line name to what it costs by the plan, where that is fully priced.
    """
    by_name = {planned.line.name: planned for planned in situation.lines}
    found = []
    for built in records.built:
        planned = by_name.get(built.line)
        if planned is not None:
            life = built.life_years or upkeep_of(planned.fence, situation.settings).life_years
            found.append(_asset(built.line, planned.fence.name, float(planned.ground.slope_m[-1]), built.on.isoformat(),
                                _years(built.on, situation.today), life,
                                built.cost if built.cost is not None else costs.get(built.line)))
    for feature, shape in situation.around.of("existing fence"):
        if choice_of(feature, "fate") != "is pulled out":
            found.append(_standing(feature, float(shape.length), situation))
    return tuple(found)


def losses(situation: Situation, records: Records, standing: Sequence[Asset]) -> tuple[LossRow, ...]:
    """What was lost, with its length along the ground, its age and its value at the event.

    Args:
        situation: The situation.
        records: What was written down.
        standing: The assets of the same job.
    """
    by_name = {planned.line.name: planned for planned in situation.lines}
    known = {asset.name: asset for asset in standing}
    built = {record.line: record.on for record in records.built}
    rows = []
    for loss in records.losses:
        asset, planned = known.get(loss.line), by_name.get(loss.line)
        length = _length(loss, planned)
        kind = asset.kind if asset else planned.fence.name if planned else ""
        age = _age_at(loss, asset, built.get(loss.line), situation.today)
        share = Decimal(repr(length / asset.length_m)) if asset and asset.length_m > 0 else None
        cost = _part(asset.cost, share) if asset and asset.cost is not None and share else None
        value = (value_left(cost, age_years=age, life_years=asset.life_years)
                 if asset and cost is not None and age is not None and asset.life_years else None)
        rows.append(LossRow(loss, kind, length, age, cost, value))
    return tuple(rows)


def _part(cost: Decimal, share: Decimal) -> Decimal:
    return (cost * share).quantize(_CENT, ROUND_HALF_UP)


def _asset(name: str, kind: str, length: Metre, built: str, age: float | None, life: float | None,
           cost: Decimal | None, condition: str = "") -> Asset:
    value = (value_left(cost, age_years=age, life_years=life)
             if cost is not None and age is not None and life else None)
    return Asset(name, kind, length, built, age, life, cost, value, condition)


def _standing(feature: Feature, length: Metre, situation: Situation) -> Asset:
    year = number_of(feature, "built")
    each = number_of(feature, "value")
    kind = feature.fact("type")
    fence = situation.catalogue.fences.get(kind)
    life = upkeep_of(fence, situation.settings).life_years if fence else situation.settings.life_woven_years
    sound = number_of(feature, "posts sound")
    condition = ", ".join(part for part in (
        f"{sound:g} % of posts sound" if sound is not None else "",
        f"wires {feature.fact('wires')}" if feature.fact("wires") else "",
        f"seen {feature.fact('seen')}" if feature.fact("seen") else "") if part)
    return _asset(feature.name, fence.name if fence else kind or "not said", length, f"{year:.0f}" if year else "",
                  situation.today.year - year if year else None, life,
                  (Decimal(repr(each)) * Decimal(repr(length))).quantize(_CENT, ROUND_HALF_UP) if each else None,
                  condition)


def _length(loss: Loss, planned: Planned | None) -> Metre:
    if planned is None:
        return loss.to_m - loss.from_m
    end = float(planned.ground.chainage_m[-1])
    slope = planned.ground.slope_at(np.clip([loss.from_m, loss.to_m], 0.0, end))
    return float(slope[1] - slope[0])


def _age_at(loss: Loss, asset: Asset | None, built: date | None, today: date) -> float | None:
    if built is not None:
        return _years(built, loss.on)
    if asset is None or asset.age_years is None:
        return None
    return max(asset.age_years - _years(loss.on, today), 0.0)


def _years(start: date, end: date) -> float:
    return max((end - start).days, 0) / _YEAR_D
