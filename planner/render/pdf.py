"""Pages to PDF and to pictures, without a window and without a display."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QHashSeed, QIODevice, QMarginsF, QSizeF, QUuid
from PySide6.QtGui import QGuiApplication, QImage, QPageLayout, QPageSize, QPainter, QPdfWriter

from planner import __version__
from planner.errors import FileTrouble
from planner.files.atomic_save import whole_file
from planner.jobpack.page.records import Page
from planner.progress import Progress, Unwatched
from planner.render.pages import draw_page

RESOLUTION_DPI = 1200
_MM_PER_INCH = 25.4
_FINER = 16.0
"""Pictures are laid out in units this much finer than their dots, so that letters stand as wide as in the PDF."""
_CREATED = re.compile(rb"/(CreationDate|ModDate) \(D:\d{14}[^)]*\)")
_XMP = re.compile(rb'xmp:(CreateDate|ModifyDate|MetadataDate)="([^"]*)"')
_keep: list[QGuiApplication] = []


def write_pdf(target: Path, pages: Sequence[Page], *, title: str, day: str = "20000101",
              progress: Progress = Unwatched()) -> None:
    """Writes pages as a PDF: vector drawing, the shipped font embedded, text that can be selected.

    The same pages give the same file, byte for byte: it holds no time of its making but the day given.

    Args:
        target: Where it shall stand.
        pages: Its pages; each has its own size.
        title: Title in the file's properties.
        day: Day in the file's properties, as YYYYMMDD.
        progress: Told of each page.

    Raises:
        FileTrouble: There are no pages, or it cannot be written there.
        Cancelled: The user asked to stop; nothing is written.
    """
    if not pages:
        raise FileTrouble("there is no page to write", where=str(target))
    content = pdf_bytes(pages, title=title, day=day, progress=progress)
    with whole_file(target) as draft:
        draft.write_bytes(content)


def pdf_bytes(pages: Sequence[Page], *, title: str, day: str = "20000101",
              progress: Progress = Unwatched()) -> bytes:
    """Pages as the bytes of a PDF.

    Args:
        pages: Its pages, one at least.
        title: Title in the file's properties.
        day: Day in the file's properties, as YYYYMMDD.
        progress: Told of each page.

    Raises:
        FileTrouble: The painter cannot start.
        Cancelled: The user asked to stop.
    """
    need_application()
    QHashSeed.setDeterministicGlobalSeed()  # else the fonts stand in the file in another order each time
    try:
        return _dated(_drawn(pages, title, day, progress), day)
    finally:
        QHashSeed.resetRandomGlobalSeed()


def _drawn(pages: Sequence[Page], title: str, day: str, progress: Progress) -> bytes:
    store = QByteArray()
    buffer = QBuffer(store)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setResolution(RESOLUTION_DPI)
    writer.setTitle(title)
    writer.setCreator(f"Strainwright {__version__}")
    writer.setDocumentId(QUuid.createUuidV5(QUuid("{5d1cbf6e-6a3b-5f0e-9a55-0d5f5a1f6a11}"), f"{title} {day}".encode()))
    writer.setPageLayout(_layout(pages[0]))
    painter = QPainter()
    if not painter.begin(writer):
        raise FileTrouble("the sheets cannot be drawn on this machine")
    try:
        for number, page in enumerate(pages):
            progress.stop_if_cancelled()
            progress.report(number / len(pages), f"page {number + 1} of {len(pages)}")
            if number:
                writer.setPageLayout(_layout(page))
                writer.newPage()
            draw_page(painter, page, per_mm=RESOLUTION_DPI / _MM_PER_INCH)
    finally:
        painter.end()
    buffer.close()
    return bytes(store.data())


def page_picture(page: Page, *, dpi: float = 110.0) -> QImage:
    """A page as a picture, for previews.

    Args:
        page: The page.
        dpi: Dots per inch.
    """
    need_application()
    per_mm = dpi / _MM_PER_INCH
    image = QImage(round(page.width * per_mm), round(page.height * per_mm), QImage.Format.Format_RGB32)
    _set_resolution(image, _FINER * per_mm)
    image.fill(0xFFFFFFFF)
    painter = QPainter(image)
    painter.scale(1.0 / _FINER, 1.0 / _FINER)
    draw_page(painter, page, per_mm=_FINER * per_mm)
    painter.end()
    _set_resolution(image, per_mm)
    return image


def _set_resolution(image: QImage, per_mm: float) -> None:
    image.setDotsPerMeterX(round(per_mm * 1000.0))
    image.setDotsPerMeterY(round(per_mm * 1000.0))


def write_png(target: Path, page: Page, *, dpi: float = 110.0) -> None:
    """Writes a page as a PNG picture.

    Args:
        target: Where it shall stand.
        page: The page.
        dpi: Dots per inch.

    Raises:
        FileTrouble: It cannot be written there.
    """
    image = page_picture(page, dpi=dpi)
    with whole_file(target) as draft:
        if not image.save(str(draft)):
            raise FileTrouble("the picture cannot be written", where=str(target),
                              remedy="choose a folder you may write to, with room on its disk")


def need_application() -> None:
    """Starts an application without a display where none runs: fonts need one.

    A window that is already open is used as it is.
    """
    if QGuiApplication.instance() is None:
        _keep.append(QGuiApplication(["strainwright", "-platform", "offscreen"]))


def _layout(page: Page) -> QPageLayout:
    size = QPageSize(QSizeF(page.width, page.height), QPageSize.Unit.Millimeter, "",
                     QPageSize.SizeMatchPolicy.ExactMatch)
    layout = QPageLayout(size, QPageLayout.Orientation.Portrait, QMarginsF(0, 0, 0, 0))
    layout.setMode(QPageLayout.Mode.FullPageMode)
    return layout


def _dated(content: bytes, day: str) -> bytes:
    content = _CREATED.sub(lambda m: _same_length(m.group(0), m.group(1), day), content)
    stamp = f"{day[:4]}-{day[4:6]}-{day[6:]}T00:00:00".encode()
    return _XMP.sub(lambda m: b'xmp:' + m.group(1) + b'="' + _zoned(stamp, len(m.group(2))) + b'"', content)


def _zoned(stamp: bytes, length: int) -> bytes:
    return stamp + (b"+00:00" if length == len(stamp) + 6 else b"Z".ljust(length - len(stamp)))


def _same_length(whole: bytes, key: bytes, day: str) -> bytes:
    """A date of the day given, padded to the length of the one it replaces, so that no offset in the file moves."""
    date = b"/" + key + b" (D:" + day.encode() + b"000000Z"
    return date + b")" + b" " * (len(whole) - len(date) - 1)
