"""The program's own font, so that window and sheets look alike on every machine."""

from __future__ import annotations

from PySide6.QtGui import QFontDatabase, QGuiApplication

from planner.errors import FileTrouble
from planner.shipped import resources

FILES = ("SourceSansPro-Regular.ttf", "SourceSansPro-Semibold.ttf", "SourceSansPro-Bold.ttf", "SourceSansPro-It.ttf")
"""A humanist sans with figures of one width, under the SIL Open Font License 1.1 (``SourceSansPro-OFL.txt``)."""

_loaded: dict[int, str] = {}


def load_fonts() -> str:
    """Makes the shipped font known to the running application, once, and gives the name of its family.

    Its figures all have one width, so that columns of them line up. Weights 400, 600 and 700 and an italic are there.

    Returns:
        Family name for ``QFont``.

    Raises:
        FileTrouble: A font file is missing or damaged, or there is no application yet.
    """
    application = QGuiApplication.instance()
    if application is None:
        raise FileTrouble("fonts can be loaded only once an application is running")
    if id(application) not in _loaded:
        families: list[str] = []
        for name in FILES:
            path = resources() / "fonts" / name
            number = QFontDatabase.addApplicationFont(str(path)) if path.is_file() else -1
            if number < 0:
                raise FileTrouble("the font that comes with the program is missing or damaged", where=str(path),
                                  remedy="install the program again")
            families += QFontDatabase.applicationFontFamilies(number)
        _loaded[id(application)] = min(families, key=len)
    return _loaded[id(application)]
