"""Images and map tiles under the map: they are seen where they lie, trouble is one sentence, and they go away again."""

from __future__ import annotations

import threading
from pathlib import Path

import numpy as np
import pytest
import rasterio
from PySide6.QtCore import QCoreApplication, QEvent
from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot
from rasterio import Affine
from window_steps import settle

from planner.job.edits import RenameJob
from planner.survey.datum import to_lonlat
from planner.ui.actions import ACTIONS
from planner.ui.canvas.tiles import TileFolder, tile_at
from planner.ui.main_window import MainWindow
from planner.ui.underlays import FAR_M, Underlays

WEST, NORTH, SIDE = 455_500.0, 5_952_500.0, 1_000.0
MAGENTA = (255, 0, 255)
ZOOM = 14


def _image(path: Path, *, west: float = WEST, crs: str | None = "EPSG:7855") -> Path:
    """A square kilometre of magenta on the sample farm, or elsewhere."""
    cells = np.zeros((3, 200, 200), np.uint8)
    cells[0], cells[2] = 255, 255
    with rasterio.open(path, "w", driver="GTiff", width=200, height=200, count=3, dtype="uint8", crs=crs,
                       transform=Affine(SIDE / 200, 0.0, west, 0.0, -SIDE / 200, NORTH)) as out:
        out.write(cells)
    return path


def _tiles(folder: Path) -> Path:
    """One tile of magenta, where the middle of that square lies."""
    (lon, lat), = to_lonlat(np.array([[WEST + SIDE / 2, NORTH - SIDE / 2]]), "EPSG:7855").tolist()
    column, row = (int(part) for part in tile_at(ZOOM, lon, lat))
    place = folder / str(ZOOM) / str(column)
    place.mkdir(parents=True)
    tile = QImage(256, 256, QImage.Format.Format_RGB32)
    tile.fill(QColor(*MAGENTA))
    assert tile.save(str(place / f"{row}.png"))
    return folder


def _keep_size(window: MainWindow, qtbot: QtBot) -> None:
    """Messages are said but take no room from the map, and it has come to rest: pictures of it can be compared."""
    window.messages.said.disconnect(window.strip_of_messages.show_message)
    qtbot.wait(50)
    settle(window, qtbot)


def _take(window: MainWindow, qtbot: QtBot, name: str) -> None:
    window.actions_table[name].trigger()
    settle(window, qtbot)


def _picture(window: MainWindow) -> np.ndarray:
    assert window.work is not None
    window.work.canvas.set_view(window.work.canvas.view, exact=True)
    image = window.work.canvas.grab().toImage().convertToFormat(QImage.Format.Format_RGB32)
    rows = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.bytesPerLine() // 4, 4)
    return rows[:, :image.width(), 2::-1].copy()


def _square(window: MainWindow, picture: np.ndarray, off: float = 0.0) -> np.ndarray:
    """What is seen of the middle of the square, or of as much ground further east."""
    assert window.work is not None
    view, middle = window.work.canvas.view, (WEST + SIDE / 2 + off, NORTH - SIDE / 2)
    left, top = (int(part) for part in view.to_screen(middle[0] - 150.0, middle[1] + 150.0))
    right, foot = (int(part) for part in view.to_screen(middle[0] + 150.0, middle[1] - 150.0))
    return picture[top:foot, left:right]


def _magenta(cells: np.ndarray) -> float:
    assert cells.size
    return float((cells == MAGENTA).all(axis=2).mean())


def test_an_image_is_seen_where_it_lies_and_goes_away_again(sample_window: MainWindow, qtbot: QtBot, tmp_path: Path,
                                                            monkeypatch: pytest.MonkeyPatch) -> None:
    window, path = sample_window, _image(tmp_path / "farm.tif")
    _keep_size(window, qtbot)
    job, before = window.document.job, _picture(window)
    assert _magenta(_square(window, before)) == 0.0
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_, **__: (str(path), ""))
    _take(window, qtbot, "backdrop_image")
    seen = _picture(window)
    assert _magenta(_square(window, seen)) > 0.5
    assert np.array_equal(_square(window, seen, 1_500.0), _square(window, before, 1_500.0))
    assert window.document.job is job
    assert window.messages.all[-1].what.startswith("Laid farm.tif under the map")
    _take(window, qtbot, "backdrop")
    assert _magenta(_square(window, _picture(window))) > 0.5
    _take(window, qtbot, "backdrop")
    _take(window, qtbot, "backdrop_none")
    assert np.array_equal(_picture(window), before)


def test_a_folder_of_tiles_is_seen_where_its_tile_lies_and_goes_away_again(
        sample_window: MainWindow, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    window, folder = sample_window, _tiles(tmp_path / "tiles")
    _keep_size(window, qtbot)
    before = _picture(window)
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_, **__: str(folder))
    _take(window, qtbot, "backdrop_tiles")
    assert _magenta(_square(window, _picture(window))) > 0.2
    _take(window, qtbot, "backdrop_none")
    assert np.array_equal(_picture(window), before)


def test_tiles_are_read_beside_the_window(sample_window: MainWindow, qtbot: QtBot, tmp_path: Path,
                                          monkeypatch: pytest.MonkeyPatch) -> None:
    threads: list[str] = []
    read = TileFolder.read

    def watched(self: TileFolder, key: tuple[int, int, int]) -> object:
        threads.append(threading.current_thread().name)
        return read(self, key)

    monkeypatch.setattr(TileFolder, "read", watched)
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_, **__: str(_tiles(tmp_path / "tiles")))
    _take(sample_window, qtbot, "backdrop_tiles")
    assert threads
    assert set(threads) == {"reading map tiles"}


@pytest.mark.parametrize("kind", ["image", "tiles"])
def test_a_picture_that_cannot_be_laid_gives_one_sentence(sample_window: MainWindow, qtbot: QtBot, tmp_path: Path,
                                                          kind: str) -> None:
    window, path = sample_window, tmp_path / "broken.tif"
    if kind == "image":
        path.write_bytes(_image(tmp_path / "whole.tif").read_bytes()[:3_000])
    else:
        path.mkdir()
    assert window.work is not None
    said = len(window.messages.all)
    window.work.map.under.lay("image" if kind == "image" else "tiles", path)
    settle(window, qtbot)
    new = window.messages.all[said:]
    assert [message.kind for message in new] == ["trouble"]
    assert str(path) in new[0].where
    assert new[0].remedy
    assert ". " not in new[0].what
    assert window.work.map.under.drawn == []
    assert not window.work.map.under.clear()


def test_an_image_far_from_the_job_is_laid_and_says_how_far_and_which_grid(
        sample_window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    window = sample_window
    assert window.work is not None
    said = len(window.messages.all)
    window.work.map.under.lay("image", _image(tmp_path / "other.tif", crs="EPSG:7856"), window.messages.done)
    settle(window, qtbot)
    laid, far = window.messages.all[said:]
    assert "brought from EPSG:7856 into the working grid" in laid.what
    assert far.kind == "trouble"
    assert far.where == "other.tif"
    assert "the file says GDA2020 / MGA zone 56, the job counts in GDA2020 / MGA zone 55" in far.what
    assert 500.0 < float(far.what.split("lies ")[1].split(" km")[0].replace(",", "")) < 560.0
    assert "coordinate system" in far.remedy
    assert len(window.work.map.under.drawn) == 1


def test_an_image_without_a_coordinate_system_says_so_when_it_is_laid(sample_window: MainWindow, qtbot: QtBot,
                                                                      tmp_path: Path) -> None:
    window = sample_window
    assert window.work is not None
    said = len(window.messages.all)
    window.work.map.under.lay("image", _image(tmp_path / "farm.tif", crs=None), window.messages.done)
    settle(window, qtbot)
    (laid,) = window.messages.all[said:]
    assert "states no coordinate system; taken as the working grid" in laid.what


@pytest.mark.parametrize(("beyond", "told"), [(-0.5, 0), (0.0, 0), (0.5, 1)])
def test_an_image_is_far_beyond_a_kilometre(qtbot: QtBot, tmp_path: Path, beyond: float, told: int) -> None:
    east = WEST - FAR_M - beyond
    under = Underlays("EPSG:7855", around=lambda: (WEST, NORTH - 10.0, WEST + 10.0, NORTH))
    said: list[object] = []
    under.troubled.connect(said.append)
    under.lay("image", _image(tmp_path / "west.tif", west=east - SIDE))
    qtbot.waitUntil(lambda: under.is_idle)
    assert len(under.drawn) == 1
    assert len(said) == told
    under.close()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


def test_nothing_chosen_lays_nothing(sample_window: MainWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    window = sample_window
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_, **__: ("", ""))
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_, **__: "")
    for name in ("backdrop_image", "backdrop_tiles"):
        window.actions_table[name].trigger()
    assert window.work is not None
    assert window.work.map.is_idle
    assert window.work.map.under.drawn == []


def test_another_grid_lays_them_anew_and_a_change_of_the_job_does_not(sample_window: MainWindow, qtbot: QtBot,
                                                                      tmp_path: Path) -> None:
    window = sample_window
    assert window.work is not None
    under = window.work.map.under
    under.lay("image", _image(tmp_path / "farm.tif"))
    settle(window, qtbot)
    first = under.drawn
    window.document.do(RenameJob("Hill farm"))
    settle(window, qtbot)
    assert under.drawn == first
    under.take_grid("EPSG:28355")
    settle(window, qtbot)
    (again,) = under.drawn
    assert again is not first[0]
    assert again.bounds is not None
    assert abs(again.bounds[0] - WEST) < 5.0


def test_without_a_grid_it_says_so(window: MainWindow, sample_window: MainWindow) -> None:
    assert sample_window.work is not None
    under, said = sample_window.work.map.under, len(window.messages.all)
    under.take_grid("")
    under.lay("image", Path("farm.tif"))
    assert "no grid" in window.messages.all[said].what
    assert under.is_idle


def test_the_tips_say_that_the_job_file_does_not_hold_them() -> None:
    tips = {row.id: row for row in ACTIONS if row.id in ("backdrop_image", "backdrop_tiles")}
    assert all("the job file does not hold" in row.tip and row.needs == "job" for row in tips.values())
    assert len(tips) == 2
