"""What lists and sheets say of a paddock: what it is for, its gates, its water, its way to the yards."""

from __future__ import annotations

from planner.job.plan import JobPlan
from planner.surroundings.network import Node
from planner.surroundings.paddocks import Paddock


def use_words(paddock: Paddock) -> str:
    """What a paddock is for, and for which stock where that was marked.

    Args:
        paddock: The paddock.
    """
    stock = paddock.stock if paddock.use == "stock" and paddock.stock != "not said" else paddock.use
    return stock if paddock.use_said else f"{stock}, not marked"


def water_words(paddock: Paddock) -> str:
    """Where stock in a paddock drink.

    Args:
        paddock: The paddock.
    """
    if paddock.water:
        return ", ".join(dict.fromkeys(paddock.water))
    if paddock.water_through:
        return f"in the lane, through {', '.join(paddock.water_through)}"
    return "–" if paddock.use != "stock" else "none marked"


def way_head(plan: JobPlan) -> str:
    """What the ways of the paddocks of a job are called: to the yards where some are marked, else out.

    Args:
        plan: The plan.
    """
    return "Way to the yards" if plan.around.of("yard") else "Way out"


def way_words(paddock: Paddock) -> str:
    """Through which gates a paddock is left for the yards, or for open land where no yards are marked.

    Args:
        paddock: The paddock.
    """
    if paddock.way is None:
        return "none"
    return ", ".join(paddock.way) or "there"


def gate_words(paddock: Paddock) -> str:
    """Gates that lead into a paddock.

    Args:
        paddock: The paddock.
    """
    return ", ".join(paddock.gates) or "none"


def meets(node: Node) -> bool:
    """Whether several lines meet at a node.

    Args:
        node: The node.
    """
    return len(node.lines) > 1
