"""The commands: each one module, imported only when it is asked for."""

from __future__ import annotations

import argparse
from importlib import import_module


def run(chosen: argparse.Namespace) -> int:
    """Runs the command that was asked for.

    Args:
        chosen: Parsed words of the command line.

    Returns:
        Exit status.
    """
    status: int = import_module(f"planner.commands.{chosen.command}").run(chosen)
    return status
