"""Labour: person-hours by component, with the multipliers of the ground it stands in."""

from __future__ import annotations

from dataclasses import dataclass

from planner.units import Hour


@dataclass(frozen=True, slots=True)
class LabourRow:
    """Hours of one component.

    Attributes:
        component: What is done, such as ``end assemblies`` or ``line posts, ledge rock``.
        quantity: How many or how much.
        unit: Unit of the quantity.
        hours_each: Hours per unit on flat soil. [h]
        factor: Multiplier of the ground class; 1 on soil.
        hours: quantity x hours_each x factor. [h]
    """

    component: str
    quantity: float
    unit: str
    hours_each: Hour
    factor: float
    hours: Hour
