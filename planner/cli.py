"""The command line: one command for each thing a person does, and one sentence when it cannot be done."""

from __future__ import annotations

import sys
import tempfile
import traceback
from collections.abc import Sequence
from pathlib import Path

from planner import __version__
from planner.command_words import COULD_NOT, all_words
from planner.errors import Cancelled, PlannerError

DONE, INTERRUPTED = 0, 130


def run(arguments: Sequence[str] | None = None) -> int:
    """Runs one command and gives the exit status.

    Args:
        arguments: Words after the program's name; those of the process when None.

    Returns:
        0 done; 1 done, but ``check`` found errors; 2 could not; 130 interrupted.
    """
    words = list(sys.argv[1:] if arguments is None else arguments)
    try:
        return _run(words)
    except PlannerError as trouble:
        sys.stderr.write(f"strainwright: {trouble}\n")
        return COULD_NOT
    except (KeyboardInterrupt, Cancelled):
        sys.stderr.write("strainwright: stopped; nothing half-written was left.\n")
        return INTERRUPTED
    except BrokenPipeError:
        sys.stdout = None  # whoever read our output has gone
        return DONE
    except SystemExit as end:
        return int(end.code or DONE)
    except Exception as bug:  # noqa: BLE001 - the top hook: a bug is written down, never shown as a traceback
        sys.stderr.write(f"strainwright: a fault in the program stopped this ({type(bug).__name__}: {bug}); nothing "
                         f"half-written was left; please report it with {_report(words)}.\n")
        return COULD_NOT


def _run(words: list[str]) -> int:
    parser, commands = all_words()
    if not words or (words[0] not in commands and not words[0].startswith("-")):
        return _window(words, commands)
    chosen = parser.parse_args(words)
    if chosen.command is None:
        return _window([], commands)
    from planner import commands as rooms

    return rooms.run(chosen)


def _window(words: list[str], commands: Sequence[str]) -> int:
    if words and not words[0].lower().endswith(".gpkg"):
        raise PlannerError(f"there is no command '{words[0]}'", remedy=f"use one of {', '.join(commands)}")
    if len(words) > 1:
        raise PlannerError("the window opens one job at a time", where=" ".join(words[1:]), remedy="name one job")
    from planner.ui.app import open_window  # nothing of the window is loaded for a command

    return open_window(Path(words[0]) if words else None)


def _report(words: list[str]) -> str:
    with tempfile.NamedTemporaryFile("w", prefix="strainwright-fault-", suffix=".txt", delete=False,
                                     encoding="utf-8") as out:
        out.write(f"strainwright {__version__}, Python {sys.version}\n{words}\n\n{traceback.format_exc()}")
    return f"the file {out.name}"
