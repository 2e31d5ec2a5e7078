"""About: version, licences, where figures come from, and the caution."""

from __future__ import annotations

import platform
from html import escape
from importlib.metadata import PackageNotFoundError, version

from PySide6.QtCore import qVersion
from PySide6.QtWidgets import QTextBrowser

from planner import __version__
from planner.ui.dialogs.sheet import Sheet
from planner.ui.first_start import CAUTION

LIBRARIES = ("PySide6-Essentials", "numpy", "scipy", "shapely", "pyproj", "geopandas", "pyogrio", "fiona", "rasterio",
             "gpxpy", "ezdxf", "XlsxWriter")


class About(Sheet):
    """The page."""

    title = "About Strainwright"
    wide, high = 560, 420

    def fill(self) -> None:
        """Puts the page in."""
        self.page = QTextBrowser(self)
        self.page.setAccessibleName("About")
        self.page.setHtml(about_page())
        self.column.addWidget(self.page, 1)


def about_page() -> str:
    """The page."""
    libraries = ", ".join(f"{name} {found}" for name in LIBRARIES if (found := _version(name)))
    return (f"<h2>Strainwright {__version__}</h2><p>A planner for rural stock fences: before a post goes in, know "
            "where every strain starts and ends.</p>"
            f"<p>{escape(CAUTION)}</p>"
            "<p>Every figure is printed with the document it comes from; a value of common practice says so.</p>"
            "<p>Lettering: Source Sans, under the SIL Open Font License 1.1.</p>"
            f"<p>Built on Python {platform.python_version()}, Qt {qVersion()} (LGPL 3) and {escape(libraries)}.</p>")


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return ""
