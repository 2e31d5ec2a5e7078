"""Terms of a quote: mark-up, hours and their rates, extras, and the texts that a landholder agrees to."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from planner.errors import BadSetting

EVERY_GROUND = ""
"""A multiplier that falls on a component wherever it stands."""


@dataclass(frozen=True, slots=True)
class Multiplier:
    """How many times longer one component of the work takes than on flat prepared soil.

    Attributes:
        component: One of ``materials.labour.COMPONENTS``.
        ground: Ground class key, in place of the ground class's own factor; ``EVERY_GROUND`` falls on the whole
            component on top of that, as where no vehicle can go.
        factor: The multiplier.
    """

    component: str
    ground: str
    factor: float


@dataclass(frozen=True, slots=True)
class Extra:
    """Something that may come up, at a rate.

    Attributes:
        what: What it is.
        unit: Unit of the rate, such as ``m`` or ``h``.
        price: Rate before tax, mark-up included; None where it is still to be agreed.
    """

    what: str
    unit: str
    price: Decimal | None = None


EXTRAS = (
    Extra("Clearing the line beyond slashing", "m"),
    Extra("Taking out and carting away old fence", "m"),
    Extra("Rock drill with operator", "h"),
)
SUPPLIES = "The contractor supplies all materials listed; what the landholder supplies is taken off at its price here."
REMEASURE = ("Lengths are planned along the ground. The finished fence is measured along the bottom wire; the price of "
             "each run moves with its measured length, up or down. Ends, gates and crossings are paid by number.")
INCLUSIONS = (
    "Set-out and pegs, ends, posts, wires, gates and crossings as listed.",
    "Carting from the drop points along the line.",
    "One visit to strain again after the first season.",
)
EXCLUSIONS = (
    "Clearing, earthworks and tracks.",
    "Rock where the ground class listed says soil: at the rate for extras.",
    "Removal of old fence, unless listed.",
    "Permits, and fees for them.",
)
DUTIES = (
    "Underground services: the landholder makes the enquiry and marks private pipes and cables before a post goes in.",
    "Boundary: a licensed surveyor fixes it where it matters; this is not a survey.",
    "Old fence: it stands until both agree that it goes.",
    "Wet weather: days on which a vehicle would damage the ground do not count towards the finishing date.",
    "Access: the landholder keeps a way open for a loaded trailer to every drop point, and stock out of the work.",
)
PAYMENT = "A third when materials are delivered, a third when all posts stand, the rest at hand-over."
_MOST_FACTOR = 20.0


@dataclass(frozen=True, slots=True)
class QuoteTerms:
    """What a quote says besides quantities and prices.

    The texts are defaults of common practice, to be edited; they are no legal advice.

    Attributes:
        mark_up: Share added to materials and labour before tax.
        rates: Labour component and what a person-hour of it costs, where it is not the price of ``labour``.
        multipliers: Multipliers on the hours of components.
        extras: What may come up, with its rate.
        valid_days: Days from its date for which the quote stands. [d]
        supplies: Who supplies the materials.
        remeasure: What happens when the finished length differs.
        inclusions: What the price includes, a sentence each.
        exclusions: What it leaves out, a sentence each.
        duties: Who sees to services, survey, old fence, wet weather and access, a sentence each.
        payment: When what is paid.

    Raises:
        BadSetting: A number is out of its limits, or there is no such labour component.
    """

    mark_up: Decimal = Decimal(0)
    rates: tuple[tuple[str, Decimal], ...] = ()
    multipliers: tuple[Multiplier, ...] = ()
    extras: tuple[Extra, ...] = EXTRAS
    valid_days: int = 30
    supplies: str = SUPPLIES
    remeasure: str = REMEASURE
    inclusions: tuple[str, ...] = INCLUSIONS
    exclusions: tuple[str, ...] = EXCLUSIONS
    duties: tuple[str, ...] = DUTIES
    payment: str = PAYMENT

    def __post_init__(self) -> None:
        _within("mark-up", self.mark_up, 0, 10)
        _within("days the quote stands", self.valid_days, 1, 3650)
        for component, rate in self.rates:
            _know(component)
            _within(f"rate of {component}", rate, 0, 10**9)
        for multiplier in self.multipliers:
            _know(multiplier.component)
            if not (math.isfinite(multiplier.factor) and 0.0 < multiplier.factor <= _MOST_FACTOR):
                raise BadSetting(f"{multiplier.factor:g} is not a multiplier above 0 and up to {_MOST_FACTOR:g}",
                                 where=f"multiplier of {multiplier.component}", remedy="give one inside these limits")
        for extra in self.extras:
            if extra.price is not None:
                _within(f"rate of {extra.what}", extra.price, 0, 10**9)

    @property
    def rate_of(self) -> Mapping[str, Decimal]:
        """Labour component to what a person-hour of it costs, where it has a rate of its own."""
        return dict(self.rates)

    @property
    def factor_of(self) -> Mapping[tuple[str, str], float]:
        """(labour component, ground class key or ``EVERY_GROUND``) to multiplier."""
        return {(m.component, m.ground): m.factor for m in self.multipliers}


def _know(component: str) -> None:
    from planner.materials.labour import COMPONENTS  # the engine is not loaded before the window is painted

    if component not in COMPONENTS:
        raise BadSetting(f"there is no labour component '{component}'", remedy=f"use one of {', '.join(COMPONENTS)}")


def _within(what: str, value: Decimal | int, low: int, high: int) -> None:
    number = Decimal(value)
    if not (number.is_finite() and low <= number <= high):
        raise BadSetting(f"{value} is not a number from {low} to {high}", where=what,
                         remedy="give one inside these limits")
