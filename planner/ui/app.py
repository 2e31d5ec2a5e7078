"""Opens the window: the display is looked for, the font loaded, the top hook set, and the window painted."""

from __future__ import annotations

import os
import socket
import sys
from pathlib import Path

from planner.errors import PlannerError

NO_WINDOW = "the commands need none: 'strainwright --help' tells what each does"


def open_window(path: Path | None = None) -> int:
    """Opens the window and stays until it is closed.

    Args:
        path: Job to open; None for the first page.

    Returns:
        Exit status of the window.

    Raises:
        PlannerError: There is no display, or the window library cannot be loaded.
    """
    look_for_display()
    try:
        from PySide6.QtCore import QTimer
        from PySide6.QtWidgets import QApplication

        from planner.ui.background import favour_window
        from planner.ui.main_window import MainWindow
        from planner.ui.preferences import Preferences
    except ImportError as trouble:
        raise PlannerError(f"the window cannot be opened ({trouble})",
                           remedy="install the missing library, or use a command: " + NO_WINDOW) from trouble
    application = QApplication.instance() or QApplication([sys.argv[0]])
    assert isinstance(application, QApplication)
    name_application(application)
    favour_window()
    window = MainWindow(Preferences(), own_folder())
    window.take_size()
    window.crash_reports.install()
    log_to_file(own_folder())
    window.show()
    QTimer.singleShot(0, window, lambda: window.begin(path))
    return int(application.exec())


def name_application(application: object) -> None:
    """Gives the application its names and its look, the same on every platform.

    Args:
        application: The running QApplication.
    """
    from PySide6.QtWidgets import QApplication

    assert isinstance(application, QApplication)
    application.setApplicationName("Strainwright")
    application.setOrganizationName("Strainwright")
    application.setDesktopFileName("strainwright")
    application.setStyle("Fusion")


def own_folder() -> Path:
    """The program's own folder, for recovery copies, reports and the log."""
    named = os.environ.get("STRAINWRIGHT_STATE")
    if named:
        return Path(named)
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA", Path.home() / "AppData" / "Local")) / "Strainwright"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Application Support" / "Strainwright"
    return Path(os.environ.get("XDG_STATE_HOME", Path.home() / ".local" / "state")) / "strainwright"


def log_to_file(folder: Path) -> None:
    """Keeps what the window says in a file that is begun anew when it grows long.

    Args:
        folder: The program's own folder.
    """
    import logging
    from logging.handlers import RotatingFileHandler

    log = logging.getLogger("strainwright")
    if log.handlers:
        return
    try:
        folder.mkdir(parents=True, exist_ok=True)
        handler = RotatingFileHandler(folder / "window.log", maxBytes=500_000, backupCount=1, encoding="utf-8",
                                      delay=True)
    except OSError:
        return  # a log is a help, not a need
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(message)s"))
    log.addHandler(handler)
    log.setLevel(logging.INFO)
    log.propagate = False


def look_for_display() -> None:
    """Makes sure that a window can be shown, before the window library would end the program over it.

    Raises:
        PlannerError: It cannot.
    """
    if sys.platform in ("win32", "darwin") or os.environ.get("QT_QPA_PLATFORM"):
        return
    if os.environ.get("WAYLAND_DISPLAY"):
        return
    display = os.environ.get("DISPLAY", "")
    if not display:
        raise PlannerError("there is no display to open the window on", remedy=NO_WINDOW)
    if not _answers(display):
        raise PlannerError(f"the display '{display}' does not answer", remedy=NO_WINDOW)
    _load_platform()


def _answers(display: str) -> bool:
    host, _, rest = display.rpartition(":")
    number = rest.partition(".")[0]
    if not number.isdigit():
        return False
    if host in ("", "unix") or host.startswith("/"):
        for address in (f"/tmp/.X11-unix/X{number}", f"\0/tmp/.X11-unix/X{number}"):
            with socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as door:
                try:
                    door.connect(address)
                except OSError:
                    continue
                return True
        host = "localhost"
    try:
        with socket.create_connection((host, 6000 + int(number)), timeout=3.0):
            return True
    except OSError:
        return False


def _load_platform() -> None:
    """Loads what Qt draws through on this display: a library that it needs may be missing from the machine."""
    import ctypes
    from importlib.util import find_spec

    known = find_spec("PySide6")
    places = list(known.submodule_search_locations or []) if known is not None else []
    plugin = next((path for place in places
                   for path in (Path(place) / "Qt" / "plugins" / "platforms").glob("libqxcb.so")), None)
    if plugin is None:
        return  # a distribution's own build keeps it elsewhere; Qt finds it
    try:
        ctypes.CDLL(str(plugin))
    except OSError as trouble:
        raise PlannerError(f"the window cannot be opened ({trouble})",
                           remedy="install that library with the system's packages, or use a command: " + NO_WINDOW
                           ) from trouble
