"""Ownership: what a fence costs a year over its life."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from planner.errors import OutOfRange
from planner.materials.prices import as_decimal
from planner.settings import Settings
from planner.spec.fence_type import FenceType


@dataclass(frozen=True, slots=True)
class AnnualCost:
    """Cost of owning a fence for one year, in the money of its first cost.

    Attributes:
        depreciation: First cost over life.
        interest: On half the first cost, the average over the life.
        maintenance: A share of the first cost.
    """

    depreciation: Decimal
    interest: Decimal
    maintenance: Decimal

    @property
    def total(self) -> Decimal:
        """Sum of the three."""
        return self.depreciation + self.interest + self.maintenance


@dataclass(frozen=True, slots=True)
class Upkeep:
    """How long a kind of fence stands, and what keeping it up takes.

    Attributes:
        life_years: Years that it stands. [a]
        maintenance_rate: Maintenance a year, as a share of the first cost.
    """

    life_years: float
    maintenance_rate: float


def upkeep_of(fence: FenceType, settings: Settings) -> Upkeep:
    """Life and maintenance of a fence type: mesh, netting and barbed wire rust and sag sooner than plain wire.

    Args:
        fence: The fence type.
        settings: Life and maintenance of both kinds.

    Source:
        W. Edwards, Iowa State University Extension, estimated costs for livestock fencing, table 6: woven and barbed
        20 years and 8 %, high-tensile and electric 25 years and 5 %. Checked in
        tests/validation/test_iowa_fencing_costs.py.
    """
    if fence.mesh is not None or fence.nettings or any(strand.kind == "barbed" for strand in fence.strands):
        return Upkeep(settings.life_woven_years, settings.maintenance_woven)
    return Upkeep(settings.life_plain_years, settings.maintenance_plain)


def annual_cost(first_cost: Decimal, *, life_years: float, maintenance_rate: float,
                interest_rate: float = 0.08) -> AnnualCost:
    """What a fence costs a year: depreciation, interest and maintenance.

    Straight-line depreciation to nothing; interest on the average value, half the first cost.

    Args:
        first_cost: Cost when built, in any money.
        life_years: Years that it stands. Above zero.
        maintenance_rate: Maintenance a year, as a share of the first cost.
        interest_rate: Interest a year.

    Raises:
        OutOfRange: The life is not above zero.

    Source:
        W. Edwards, Iowa State University Extension, estimated costs for livestock fencing, table 6; the rule is
        recovered from its figures. Checked in tests/validation/test_iowa_fencing_costs.py.

    Example:
        >>> annual_cost(Decimal(1480), life_years=25, maintenance_rate=0.05).total
        Decimal('192.40')
    """
    if not life_years > 0:
        raise OutOfRange(f"a life of {life_years:g} years gives no yearly cost", remedy="give a life above zero")
    interest = first_cost * as_decimal(interest_rate) / 2
    return AnnualCost(first_cost / as_decimal(life_years), interest, first_cost * as_decimal(maintenance_rate))
