"""Paddocks and nodes of the fence network as ``plan.json`` and the command line give them."""

from __future__ import annotations

from typing import Any

from planner.jobpack.plan_lines import rounded
from planner.surroundings.network import Node
from planner.surroundings.paddocks import Paddock
from planner.units import HECTARE_M2


def paddock_record(paddock: Paddock) -> dict[str, Any]:
    """One paddock.

    Args:
        paddock: The paddock.
    """
    return {"name": paddock.name, "use": paddock.use, "use_said": paddock.use_said, "stock": paddock.stock,
            "area_ha": rounded(paddock.area_m2 / HECTARE_M2, 4), "perimeter_m": rounded(paddock.perimeter_m, 2),
            "long_over_wide": rounded(paddock.long_over_wide, 2), "x": rounded(paddock.x, 3),
            "y": rounded(paddock.y, 3), "lines": list(paddock.lines), "gates": list(paddock.gates),
            "water": list(paddock.water), "water_through": list(paddock.water_through),
            "way": None if paddock.way is None else list(paddock.way), "edge_known": paddock.edge_known}


def node_record(node: Node) -> dict[str, Any]:
    """One node. Advisory.

    Args:
        node: The node.
    """
    return {"kind": node.kind, "x": rounded(node.x, 3), "y": rounded(node.y, 3), "lines": list(node.lines),
            "chainage_m": rounded(node.chainage_m, 3), "assembly": node.assembly,
            "pulls": [{"line": arm.line, "bearing_deg": rounded(arm.bearing_deg, 3),
                       "pull_kN": rounded(arm.pull_n / 1000.0, 3)} for arm in node.arms],
            "resultant_kN": rounded(node.resultant_n / 1000.0, 3), "resultant_deg": rounded(node.resultant_deg, 3)}
