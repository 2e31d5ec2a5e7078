"""``strainwright fences``: the fence types, or one in full."""

from __future__ import annotations

import argparse
import json

from planner.spec.catalogue import load_catalogue
from planner.spec.explain import explain_fence, fence_as_dict, list_fences


def run(chosen: argparse.Namespace) -> int:
    """Lists the fence types, or explains one.

    Args:
        chosen: Parsed words: ``key``, ``json``.

    Returns:
        0.

    Raises:
        BadFenceType: There is no such fence type, or one of the user's own breaks the rules.
    """
    catalogue = load_catalogue()
    if chosen.json:
        if chosen.key:
            explain_fence(catalogue, chosen.key)
        keys = [chosen.key] if chosen.key else list(catalogue.fences)
        found = [fence_as_dict(catalogue.fences[key]) for key in keys]
        print(json.dumps(found[0] if chosen.key else found, ensure_ascii=False, indent=1))
    else:
        print(explain_fence(catalogue, chosen.key) if chosen.key else list_fences(catalogue))
    return 0
