"""Images and folders of map tiles that a person lays under the map, for as long as the window is open.

They are for looking at: none goes into the job file, and nothing is fetched from anywhere.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any, Literal

from PySide6.QtCore import QObject, QTimer, Signal

from planner.errors import FileTrouble, GridTrouble
from planner.files.readers.image import read_backdrop
from planner.progress import Progress
from planner.survey.datum import from_lonlat, grid_name, to_lonlat
from planner.ui.background import Task
from planner.ui.canvas.backdrops import ImageLayer
from planner.ui.canvas.protocols import Backdrop
from planner.ui.canvas.tiles import Key, Tile, TileFolder
from planner.ui.canvas.view import Bounds
from planner.units import Metre

Kind = Literal["image", "tiles"]
FAR_M: Metre = 1_000.0
"""An image whose edge is further than this from everything in the job is of other ground, or its grid is another.
Common practice, no source."""


@dataclass(frozen=True, eq=False)
class _Laid:
    """What draws a picture, what was done to it while it was read, and the coordinate system that its file states."""

    drawn: Backdrop
    notes: tuple[str, ...] = ()
    crs: str = ""


@dataclass(eq=False)
class _Sheet:
    """One picture: its kind and path, what draws it once it is read, and the reading while it lasts."""

    kind: Kind
    path: Path
    drawn: Backdrop | None = None
    task: Task | None = None


class Underlays(QObject):
    """The pictures laid under the map, the lowest first.

    Args:
        grid: Working grid to begin with; empty while there is none.
        parent: Qt parent.
        around: Gives west, south, east and north of everything in the job; None when it is empty. [m]

    Attributes:
        changed: Other pictures are to be shown.
        working: A picture is being read; its task.
        troubled: A picture that could not be laid, or that lies far from the job.
    """

    changed = Signal()
    working = Signal(object)
    troubled = Signal(object)

    def __init__(self, grid: str, parent: QObject | None = None, *,
                 around: Callable[[], Bounds | None] = lambda: None) -> None:
        super().__init__(parent)
        self._grid, self._around = grid, around
        self._sheets: list[_Sheet] = []
        self._tasks: list[Task] = []
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(0)
        self._soon.timeout.connect(self._read_tiles)

    @property
    def is_idle(self) -> bool:
        """True while nothing is being read."""
        return not self._tasks and not self._soon.isActive()

    @property
    def drawn(self) -> list[Backdrop]:
        """What there is to draw, the lowest first."""
        return [sheet.drawn for sheet in self._sheets if sheet.drawn is not None]

    def lay(self, kind: Kind, path: Path, told: Callable[[str], object] | None = None) -> None:
        """Lays one more picture over those that are there.

        Args:
            kind: What it is.
            path: File of the image, or folder of the tiles.
            told: Is told when it lies there.
        """
        if not self._grid:
            self.troubled.emit(GridTrouble("the job has no grid yet, so no picture has a place in it",
                                           remedy="bring in a file or draw a line first"))
            return
        sheet = _Sheet(kind, path)
        self._sheets.append(sheet)
        self._read(sheet, told)

    def clear(self) -> bool:
        """Takes every picture away, and says whether there was one."""
        had = bool(self._sheets)
        for task in self._tasks:
            task.cancel()
        self._sheets = []
        self.changed.emit()
        return had

    def take_grid(self, grid: str) -> None:
        """Lays the pictures anew when the job counts in another grid."""
        if grid == self._grid:
            return
        self._grid = grid
        for sheet in self._sheets:
            sheet.drawn = None
            if sheet.task is not None:
                sheet.task.cancel()
            if grid:
                self._read(sheet, None)

    def close(self) -> None:
        """Ends background work."""
        self._soon.stop()
        for task in self._tasks:
            task.cancel()
            task.wait()
        self._tasks = []

    def _read(self, sheet: _Sheet, told: Callable[[str], object] | None) -> None:
        make = _image if sheet.kind == "image" else _tiles
        path, grid = sheet.path, self._grid
        task = Task(f"reading {path.name}", lambda _: make(path, grid), self)
        self._begin(sheet, task, partial(self._take, sheet, task, told))

    def _begin(self, sheet: _Sheet, task: Task, take: Callable[[Any], object]) -> None:
        task.done.connect(take)
        task.failed.connect(partial(self._fail, sheet, task))
        task.finished.connect(partial(self._end, task))
        sheet.task = task
        self._tasks.append(task)
        self.working.emit(task)
        task.start()

    def _take(self, sheet: _Sheet, task: Task, told: Callable[[str], object] | None, laid: _Laid) -> None:
        if sheet.task is not task or sheet not in self._sheets:
            return
        sheet.drawn = laid.drawn
        if isinstance(laid.drawn, TileFolder):
            laid.drawn.wanting = self._soon.start
        self.changed.emit()
        if told is not None:
            told("; ".join((f"Laid {sheet.path.name} under the map for this session", *laid.notes,
                            "the job file does not hold it")))
        self._tell_if_far(sheet.path, laid)

    def _read_tiles(self) -> None:
        """Reads tiles that are to be drawn, beside the window; the rest is asked for again when these are drawn."""
        if any(sheet.task is not None and sheet.task in self._tasks for sheet in self._sheets):
            return  # one piece of reading at a time for each sheet; its end draws, and drawing asks again
        for sheet in self._sheets:
            tiles = sheet.drawn
            keys = tiles.wanted() if isinstance(tiles, TileFolder) else ()
            if isinstance(tiles, TileFolder) and keys:
                task = Task("reading map tiles", partial(_read, tiles, keys), self)
                self._begin(sheet, task, partial(self._keep, tiles))

    def _keep(self, tiles: TileFolder, read: dict[Key, Tile | None]) -> None:
        tiles.keep(read)
        self.changed.emit()

    def _tell_if_far(self, path: Path, laid: _Laid) -> None:
        there, here = laid.drawn.bounds, self._around()
        off = apart(there, here) if there is not None and here is not None else 0.0
        if off > FAR_M:
            says = f"the file says {grid_name(laid.crs)}" if laid.crs else "the file says no coordinate system"
            self.troubled.emit(GridTrouble(
                f"the image lies {off / 1000.0:,.1f} km from everything in the job: {says}, the job counts in "
                f"{grid_name(self._grid)}", where=path.name,
                remedy="check the coordinate system of the image, or choose the image of this ground"))

    def _fail(self, sheet: _Sheet, task: Task, trouble: object) -> None:
        if sheet.task is task and sheet in self._sheets:
            self._sheets.remove(sheet)
            self.troubled.emit(trouble)

    def _end(self, task: Task) -> None:
        if task in self._tasks:
            self._tasks.remove(task)
        if any(isinstance(sheet.drawn, TileFolder) for sheet in self._sheets):
            self._soon.start()
        task.wait(1.0)  # it has told its end and has only to return
        task.deleteLater()


def apart(one: Bounds, other: Bounds) -> Metre:
    """How far two rectangles lie from each other; 0 where they touch or overlap. [m]

    Args:
        one: West, south, east, north. [m]
        other: The same of the other. [m]

    Example:
        >>> apart((0.0, 0.0, 1.0, 1.0), (4.0, 5.0, 6.0, 6.0))
        5.0
    """
    across = max(one[0] - other[2], other[0] - one[2], 0.0)
    along = max(one[1] - other[3], other[1] - one[3], 0.0)
    return math.hypot(across, along)


def _image(path: Path, grid: str) -> _Laid:
    image = read_backdrop(path, grid)
    return _Laid(ImageLayer(image.pixels, image.affine), image.notes, image.crs)


def _read(tiles: TileFolder, keys: Sequence[Key], progress: Progress) -> dict[Key, Tile | None]:
    found: dict[Key, Tile | None] = {}
    for number, key in enumerate(keys):
        progress.stop_if_cancelled()
        progress.report(number / len(keys), "reading map tiles")
        found[key] = tiles.read(key)
    return found


def _tiles(path: Path, grid: str) -> _Laid:
    try:
        tiles = TileFolder(path, to_grid=lambda lonlat: from_lonlat(lonlat, grid),
                           to_lonlat=lambda xy: to_lonlat(xy, grid))
        held = any(own.parent.name.isdigit() and own.stem.isdigit() and own.suffix in (".png", ".jpg", ".jpeg")
                   for zoom in tiles.zooms for own in (path / str(zoom)).glob("*/*"))
    except (OSError, ValueError) as trouble:
        raise FileTrouble("the folder cannot be read", where=str(path), remedy="choose another folder") from trouble
    if not held:
        raise FileTrouble("it holds no map tiles", where=str(path),
                          remedy="choose the folder in which tiles lie as zoom/column/row.png")
    return _Laid(tiles)
