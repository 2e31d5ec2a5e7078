"""``python -m planner`` is ``strainwright``: from here an interrupt ends quietly, even before a command is known."""

from __future__ import annotations


def main() -> int:
    """Runs one command of the process's own words and gives the exit status; 130 when it is interrupted."""
    try:
        from planner.cli import run

        return run()
    except KeyboardInterrupt:
        import sys

        sys.stderr.write("strainwright: stopped; nothing half-written was left.\n")
        return 130


if __name__ == "__main__":
    raise SystemExit(main())
