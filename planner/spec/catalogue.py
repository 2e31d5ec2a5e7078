"""The catalogue: fence types, items, end assemblies and ground classes, read from data and checked on load."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from planner.spec.end_assemblies import EndAssembly
from planner.spec.fence_type import FenceType
from planner.spec.ground_classes import GroundClass
from planner.spec.items import Item


@dataclass(frozen=True)
class Catalogue:
    """Everything a job may choose from.

    Attributes:
        fences: Fence types by key.
        items: Items by key.
        assemblies: End assemblies by key.
        grounds: Ground classes by key; ``soil`` is the one used where nothing is said.
    """

    fences: Mapping[str, FenceType]
    items: Mapping[str, Item]
    assemblies: Mapping[str, EndAssembly]
    grounds: Mapping[str, GroundClass]
