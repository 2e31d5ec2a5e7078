from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import rasterio
from rasterio.transform import Affine

from planner.errors import FileTrouble
from planner.files.readers import image
from planner.files.readers.image import read_backdrop, read_relief
from planner.shipped import sample_data
from planner.survey.datum import from_lonlat

GRID = "EPSG:7855"
PLACE = Affine(2.0, 0.0, 455_000.0, 0.0, -2.0, 5_952_000.0)


def write(path: Path, bands: np.ndarray, transform=None, crs: str | None = GRID, **more) -> Path:
    with rasterio.open(path, "w", driver="GTiff", count=len(bands), height=bands.shape[1], width=bands.shape[2],
                       dtype=bands.dtype, transform=transform or PLACE, crs=crs, **more) as file:
        file.write(bands)
    return path


def colours(rows: int = 20, columns: int = 30) -> np.ndarray:
    bands = np.zeros((3, rows, columns), np.uint8)
    bands[0], bands[1, :, columns // 2:] = 200, 90
    return bands


def test_colours_and_corners(tmp_path: Path) -> None:
    read = read_backdrop(write(tmp_path / "a.tif", colours()), GRID)
    assert read.pixels.shape == (20, 30, 4)
    assert read.pixels[3, 2].tolist() == [200, 0, 0, 255]
    assert read.pixels[3, 20].tolist() == [200, 90, 0, 255]
    assert read.corners.tolist() == [[455_000, 5_952_000], [455_060, 5_952_000], [455_060, 5_951_960],
                                     [455_000, 5_951_960]]


def test_a_turned_picture_keeps_its_turn(tmp_path: Path) -> None:
    turned = Affine(1.6, 1.2, 455_000.0, 1.2, -1.6, 5_952_000.0)
    read = read_backdrop(write(tmp_path / "a.tif", colours(), turned), GRID)
    np.testing.assert_allclose(read.affine, turned[:6])
    np.testing.assert_allclose(read.corners[2], (455_000.0 + 1.6 * 30 + 1.2 * 20, 5_952_000.0 + 1.2 * 30 - 1.6 * 20))


def test_another_grid_is_brought_into_the_working_grid(tmp_path: Path) -> None:
    path = write(tmp_path / "a.tif", colours(60, 60), Affine(1e-4, 0.0, 146.5, 0.0, -1e-4, -36.6), "EPSG:7844")
    read = read_backdrop(path, GRID)
    expected = from_lonlat(np.array([[146.503, -36.603]]), GRID)
    middle = read.corners.mean(axis=0)
    assert np.hypot(*(middle - expected[0])) < 15.0
    assert "brought from EPSG:7844" in read.notes[0]


def test_one_band_is_grey_and_deep_ones_are_stretched(tmp_path: Path) -> None:
    deep = np.linspace(1000, 5000, 600).reshape(1, 20, 30).astype(np.uint16)
    read = read_backdrop(write(tmp_path / "a.tif", deep), GRID)
    assert (read.pixels[..., 0] == read.pixels[..., 2]).all()
    assert read.pixels[0, 0, 0] == 0
    assert read.pixels[-1, -1, 0] == 255


def test_nodata_is_clear(tmp_path: Path) -> None:
    bands = colours()
    bands[:, 4, 4] = 7
    read = read_backdrop(write(tmp_path / "a.tif", bands, nodata=7), GRID)
    assert read.pixels[4, 4, 3] == 0
    assert read.pixels[5, 5, 3] == 255


def test_large_files_are_thinned(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(image, "MOST_CELLS", 150)
    read = read_backdrop(write(tmp_path / "a.tif", colours()), GRID)
    assert read.pixels.shape[0] * read.pixels.shape[1] <= 150
    assert read.corners[2].tolist() == pytest.approx([455_060, 5_951_960])
    assert read.notes == ("shown at 1 in 2.0 of its cells",)


def test_absurd_sizes_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(image, "MOST_ACROSS", 29)
    path = write(tmp_path / "a.tif", colours())
    with pytest.raises(FileTrouble, match="its size, 30 by 20 cells, cannot be that of a picture"):
        read_backdrop(path, GRID)
    monkeypatch.setattr(image, "MOST_ACROSS", 30)
    assert read_backdrop(path, GRID).pixels.shape == (20, 30, 4)


@pytest.mark.filterwarnings("ignore::rasterio.errors.NotGeoreferencedWarning")
def test_a_picture_without_a_place_is_refused(tmp_path: Path) -> None:
    path = write(tmp_path / "a.tif", colours(), Affine.identity(), None)
    with pytest.raises(FileTrouble, match="no place on the ground"):
        read_backdrop(path, GRID)


@pytest.mark.parametrize("content", [b"", b"no picture at all", b"II*\0\x08\0\0\0"])
def test_what_is_no_picture_is_refused(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "a.tif"
    path.write_bytes(content)
    with pytest.raises(FileTrouble, match="cannot be read as a picture"):
        read_backdrop(path, GRID)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(FileTrouble, match="there is no such file"):
        read_backdrop(tmp_path / "none.tif", GRID)


def test_a_file_cut_short_is_told(tmp_path: Path) -> None:
    path = write(tmp_path / "a.tif", np.random.default_rng(1).integers(0, 255, (3, 300, 300), dtype=np.uint8))
    path.write_bytes(path.read_bytes()[:150_000])
    with pytest.raises(FileTrouble, match="cut short"):
        read_backdrop(path, GRID)


def test_levels_of_the_sample_terrain() -> None:
    read = read_relief(sample_data() / "terrain.tif", GRID)
    assert np.isfinite(read.levels).mean() > 0.9
    assert read.levels.dtype == np.float32
    assert read.affine[0] == pytest.approx(-read.affine[4])


def test_missing_levels_are_no_number(tmp_path: Path) -> None:
    levels = np.full((1, 10, 10), 120.0, np.float32)
    levels[0, 2, 3], levels[0, 4, 4] = -9999.0, 1e20
    read = read_relief(write(tmp_path / "a.tif", levels, nodata=-9999.0), GRID)
    assert np.isnan(read.levels[2, 3])
    assert np.isnan(read.levels[4, 4])
    assert np.isfinite(read.levels).sum() == 98
