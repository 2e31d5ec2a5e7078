"""Images and folders of map tiles that a person lays under the map, for as long as the window is open.

They are for looking at: none goes into the job file, and nothing is fetched from anywhere.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Literal

from PySide6.QtCore import QObject, Signal

from planner.errors import FileTrouble, GridTrouble
from planner.files.readers.image import read_backdrop
from planner.survey.datum import from_lonlat, to_lonlat
from planner.ui.background import Task
from planner.ui.canvas.backdrops import ImageLayer
from planner.ui.canvas.protocols import Backdrop
from planner.ui.canvas.tiles import TileFolder

Kind = Literal["image", "tiles"]


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

    Attributes:
        changed: Other pictures are to be shown.
        working: A picture is being read; its task.
        troubled: A picture that could not be laid.
    """

    changed = Signal()
    working = Signal(object)
    troubled = Signal(object)

    def __init__(self, grid: str, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._grid = grid
        self._sheets: list[_Sheet] = []
        self._tasks: list[Task] = []

    @property
    def is_idle(self) -> bool:
        """True while nothing is being read."""
        return not self._tasks

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
        for task in self._tasks:
            task.cancel()
            task.wait()
        self._tasks = []

    def _read(self, sheet: _Sheet, told: Callable[[str], object] | None) -> None:
        make = _image if sheet.kind == "image" else _tiles
        path, grid = sheet.path, self._grid
        task = Task(f"reading {path.name}", lambda _: make(path, grid), self)
        task.done.connect(partial(self._take, sheet, task, told))
        task.failed.connect(partial(self._fail, sheet, task))
        task.finished.connect(partial(self._end, task))
        sheet.task = task
        self._tasks.append(task)
        self.working.emit(task)
        task.start()

    def _take(self, sheet: _Sheet, task: Task, told: Callable[[str], object] | None, drawn: Backdrop) -> None:
        if sheet.task is task and sheet in self._sheets:
            sheet.drawn = drawn
            self.changed.emit()
            if told is not None:
                told(f"Laid {sheet.path.name} under the map for this session; the job file does not hold it")

    def _fail(self, sheet: _Sheet, task: Task, trouble: object) -> None:
        if sheet.task is task and sheet in self._sheets:
            self._sheets.remove(sheet)
            self.troubled.emit(trouble)

    def _end(self, task: Task) -> None:
        if task in self._tasks:
            self._tasks.remove(task)
        task.deleteLater()


def _image(path: Path, grid: str) -> ImageLayer:
    image = read_backdrop(path, grid)
    return ImageLayer(image.pixels, image.affine)


def _tiles(path: Path, grid: str) -> TileFolder:
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
    return tiles
