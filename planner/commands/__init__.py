"""The commands: each one module, imported only when it is asked for."""

from __future__ import annotations

import argparse
from importlib import import_module

from planner.commands.changing import job_held
from planner.commands.interrupts import interrupts_kept


def run(chosen: argparse.Namespace) -> int:
    """Runs the command that was asked for.

    Args:
        chosen: Parsed words of the command line.

    Returns:
        Exit status.
    """
    with interrupts_kept():
        command = import_module(f"planner.commands.{chosen.command}")
        with job_held(chosen):
            return int(command.run(chosen))
