from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from rasterio.transform import Affine
from terrain_files import write_raster, write_surface

from planner.errors import FileTrouble, GridTrouble
from planner.files.readers.terrain import open_terrain
from planner.files.readers.terrain_blocks import Blocks
from planner.survey.ground import NONE, TERRAIN

GRID = "EPSG:7855"
WEST, NORTH = 500_000.0, 5_800_000.0


def _ramp(rows: int = 6, columns: int = 8, dtype: str = "float32") -> np.ndarray:
    return (100.0 + np.arange(columns)[None, :] + 10.0 * np.arange(rows)[:, None]).astype(dtype)


def _written(tmp_path: Path, cells: np.ndarray | None = None, **more) -> Path:
    return write_raster(tmp_path / "t.tif", _ramp() if cells is None else cells, west=WEST, north=NORTH, **more)


def _centre(row: float, column: float) -> np.ndarray:
    return np.array([[WEST + (column + 0.5) * 10.0, NORTH - (row + 0.5) * 10.0]])


def _at(transform: Affine, *cells: tuple[float, float]) -> np.ndarray:
    t = transform
    return np.array([(t.a * c + t.b * r + t.c, t.d * c + t.e * r + t.f) for c, r in cells])


def _level(path: Path, row: float, column: float, **more) -> float:
    with open_terrain(path, grid=GRID, **more) as terrain:
        return float(terrain.levels(_centre(row, column)).level_m[0])


def test_a_cell_centre_has_the_level_of_its_cell(tmp_path: Path) -> None:
    path = _written(tmp_path)
    assert _level(path, 2, 3) == 123.0
    assert _level(path, 2.5, 3.25) == pytest.approx(128.25)


def test_the_outermost_centres_are_inside_and_the_margin_beyond_them_is_not(tmp_path: Path) -> None:
    path = _written(tmp_path)
    corners = {(0, 0): 100.0, (0, 7): 107.0, (5, 0): 150.0, (5, 7): 157.0}
    for (row, column), level in corners.items():
        assert _level(path, row, column) == level
    for row, column in ((-0.01, 3), (5.01, 3), (2, -0.01), (2, 7.01), (-0.4, -0.4), (500, 500)):
        assert np.isnan(_level(path, row, column))


def test_outside_is_unknown_whether_or_not_nodata_is_set(tmp_path: Path) -> None:
    for nodata in (None, -9999.0):
        with open_terrain(_written(tmp_path, nodata=nodata), grid=GRID) as terrain:
            levels = terrain.levels(np.array([[0.0, 0.0], [WEST + 35.0, NORTH - 25.0], [np.nan, 1.0], [np.inf, 1.0]]))
        assert np.isnan(levels.level_m[[0, 2, 3]]).all()
        assert levels.level_m[1] == 123.0
        assert levels.source.tolist() == [NONE, TERRAIN, NONE, NONE]
        assert np.isnan(levels.sd_m[0])


@pytest.mark.parametrize(("mark", "dtype"), [(-9999.0, "float32"), (-3.4028234663852886e38, "float32"),
                                             (-32768, "int16"), (0, "int16"), (np.nan, "float32"), (np.inf, "float32")])
def test_a_missing_cell_never_leaks_into_its_neighbours(tmp_path: Path, mark: float, dtype: str) -> None:
    cells = _ramp(dtype=dtype)
    cells[2, 3] = mark
    path = _written(tmp_path, cells, nodata=None if np.isinf(mark) else mark)
    for row, column in ((2, 3), (2.1, 3.1), (1.01, 2.01), (2.99, 3.99), (2, 2.5), (1.5, 3)):
        assert np.isnan(_level(path, row, column)), (row, column)
    # the neighbours' own centres, and the cells past them, are known
    assert _level(path, 2, 2) == 122.0
    assert _level(path, 1, 3) == 113.0
    assert _level(path, 2, 4.5) == 124.5


def test_a_mark_written_with_fewer_digits_is_still_a_mark(tmp_path: Path) -> None:
    cells = _ramp()
    cells[2, 3] = np.float32(-3.4028234663852886e38)
    assert np.isnan(_level(_written(tmp_path, cells, nodata=-3.40282e38), 2.1, 3.1))


def test_a_mask_band_counts(tmp_path: Path) -> None:
    import rasterio

    path = _written(tmp_path)
    mask = np.full((6, 8), 255, dtype=np.uint8)
    mask[2, 3] = 0
    with rasterio.Env(GDAL_TIFF_INTERNAL_MASK=True), rasterio.open(path, "r+") as dataset:
        dataset.write_mask(mask)
    assert np.isnan(_level(path, 2.1, 3.1))
    assert _level(path, 2, 4.5) == 124.5


def test_levels_no_ground_has_are_missing_and_noted(tmp_path: Path) -> None:
    cells = _ramp()
    cells[2, 3] = -9999.0
    with open_terrain(_written(tmp_path, cells), grid=GRID) as terrain:
        assert np.isnan(terrain.levels(_centre(2.1, 3.1)).level_m[0])
        assert any("taken as missing" in note for note in terrain.notes)


def test_scale_and_offset_are_honoured(tmp_path: Path) -> None:
    path = _written(tmp_path, _ramp(dtype="int16"), scale=0.1, offset=50.0)
    assert _level(path, 2, 3) == pytest.approx(62.3)
    with open_terrain(path, grid=GRID) as terrain:
        assert terrain.quantum_m == pytest.approx(0.1)


@pytest.mark.parametrize(("unit", "metres"), [("", 123.0), ("metre", 123.0), ("ft", 123.0 * 0.3048),
                                              ("US survey foot", 123.0 * 1200 / 3937), ("furlong", 123.0)])
def test_feet_are_feet_only_when_the_file_says_so(tmp_path: Path, unit: str, metres: float) -> None:
    path = _written(tmp_path, unit=unit)
    assert _level(path, 2, 3) == pytest.approx(metres, abs=1e-9)
    with open_terrain(path, grid=GRID) as terrain:
        assert any("unit" in n or "turned into metres" in n for n in terrain.notes) == (unit not in ("", "metre"))


def test_the_first_of_several_bands_is_taken_with_a_note(tmp_path: Path) -> None:
    with open_terrain(_written(tmp_path, bands=2), grid=GRID) as terrain:
        assert any("2 bands" in note for note in terrain.notes)
        assert terrain.levels(_centre(2, 3)).level_m[0] == 123.0


def test_a_rotated_raster_is_read_where_it_lies(tmp_path: Path) -> None:
    turned = Affine(5.0 * 3**0.5, 5.0, WEST, 5.0, -5.0 * 3**0.5, NORTH)
    path = write_raster(tmp_path / "r.tif", _ramp(), transform=turned)
    with open_terrain(path, grid=GRID) as terrain:
        level = terrain.levels(_at(turned, (3.5, 2.5), (4.0, 3.0))).level_m
        assert terrain.cell_m == pytest.approx(10.0)
    assert level == pytest.approx([123.0, 128.5], abs=1e-6)


def test_a_raster_with_south_up_is_read_where_it_lies(tmp_path: Path) -> None:
    up = Affine(10.0, 0.0, WEST, 0.0, 10.0, NORTH)
    with open_terrain(write_raster(tmp_path / "u.tif", _ramp(), transform=up), grid=GRID) as terrain:
        assert terrain.levels(_at(up, (3.5, 2.5))).level_m[0] == 123.0


def test_whole_metres_are_told_and_raise_the_noise(tmp_path: Path) -> None:
    for dtype in ("int16", "float32"):
        path = write_surface(tmp_path / f"{dtype}.tif", lambda x, y: np.round((x - WEST) / 7.3), west=WEST,
                             north=NORTH, dtype=dtype)
        with open_terrain(path, grid=GRID) as terrain:
            terrain.levels(np.array([WEST, NORTH]) + np.column_stack((np.linspace(10, 500, 90), np.full(90, -100.0))))
            assert terrain.quantum_m == pytest.approx(1.0)
            assert terrain.noise_m == pytest.approx(1 / np.sqrt(12))
            assert terrain.sd_m == pytest.approx(np.hypot(1.0, 1 / np.sqrt(12)))
            assert any("rounded to 1 m" in note for note in terrain.notes)


def test_levels_with_decimals_are_not_taken_for_rounded(tmp_path: Path) -> None:
    path = write_surface(tmp_path / "f.tif", lambda x, y: 50 + np.sin(x / 31.0) * 9, west=WEST, north=NORTH,
                         dtype="float32")
    with open_terrain(path, grid=GRID) as terrain:
        terrain.levels(np.array([WEST, NORTH]) + np.column_stack((np.linspace(10, 500, 90), np.full(90, -100.0))))
        assert terrain.quantum_m == 0.0


@pytest.mark.parametrize("creation", [{"tiled": True, "blockxsize": 64, "blockysize": 64}, {"blockysize": 3},
                                      {"tiled": True, "blockxsize": 512, "blockysize": 512, "compress": "deflate"}])
def test_parts_of_the_file_join_without_a_seam(tmp_path: Path, creation: dict) -> None:
    def plane(x, y):
        return 0.1 * (x - WEST) + 0.05 * (NORTH - y)

    path = write_surface(tmp_path / "big.tif", plane, west=WEST, north=NORTH, cell=1.0, rows=700, columns=1300,
                         **creation)
    rng = np.random.default_rng(5)
    xy = np.array([WEST + 0.5, NORTH - 699.5]) + rng.random((4000, 2)) * (1299.0, 699.0)
    seams = np.array([[WEST + c + d, NORTH - r - e] for c in (256, 512, 1024) for r in (64, 256, 512)
                      for d in (-0.5, -0.01, 0.0, 0.5, 0.51) for e in (-0.5, 0.0, 0.49, 0.5)])
    xy = np.vstack((xy, seams))
    with open_terrain(path, grid=GRID) as terrain:
        first, again = terrain.levels(xy).level_m, terrain.levels(xy).level_m
    assert np.abs(first - plane(xy[:, 0], xy[:, 1])).max() < 1e-9
    assert np.array_equal(first, again)


def test_parts_are_kept_within_their_memory(tmp_path: Path) -> None:
    import rasterio

    path = write_surface(tmp_path / "big.tif", lambda x, y: x - WEST, west=WEST, north=NORTH, cell=1.0, rows=64,
                         columns=2048, tiled=True, blockxsize=256, blockysize=64)
    part = 257 * 64 * 8
    blocks = Blocks(rasterio.open(path), path, kept_bytes=2 * part)
    corner = np.array([[10, c] for c in (5, 300, 600, 900, 1200, 5)])
    assert blocks.four(corner)[:, 0].tolist() == [5.5, 300.5, 600.5, 900.5, 1200.5, 5.5]
    assert len(blocks._kept) == 2
    assert blocks._bytes == sum(c.nbytes for c in blocks._kept.values()) <= 2 * part
    blocks.close()


def test_a_raster_without_a_coordinate_system_is_asked_for_one(tmp_path: Path) -> None:
    path = _written(tmp_path, crs=None)
    with pytest.raises(GridTrouble, match=r"does not say its coordinate system; name it with an EPSG code"):
        open_terrain(path, grid=GRID)
    assert _level(path, 2, 3, crs=GRID) == 123.0


def test_a_said_coordinate_system_stands_before_the_stated_one(tmp_path: Path) -> None:
    with open_terrain(_written(tmp_path, crs="EPSG:7854"), grid=GRID, crs=GRID) as terrain:
        assert terrain.levels(_centre(2, 3)).level_m[0] == 123.0
        assert any("as said; the file states GDA2020 / MGA zone 54" in note for note in terrain.notes)


def test_an_unknown_said_coordinate_system_is_refused(tmp_path: Path) -> None:
    with pytest.raises(GridTrouble, match="EPSG:99999"):
        open_terrain(_written(tmp_path), grid=GRID, crs="EPSG:99999")


def test_a_raster_on_another_datum_says_how_it_was_brought(tmp_path: Path) -> None:
    path = _written(tmp_path, crs="EPSG:28355")  # GDA94: 1.5 m from GDA2020 there
    with open_terrain(path, grid=GRID) as terrain:
        level = terrain.levels(_centre(2, 3)).level_m[0]
        assert any("GDA94" in note for note in terrain.notes)
    assert level != 123.0
    assert abs(level - 123.0) < 2.5


@pytest.mark.parametrize(("name", "content", "match"), [
    ("no.tif", None, "there is no such file"),
    ("text.tif", b"this is not a raster\n", "cannot be read as a raster"),
    ("empty.asc", b"", "cannot be read as a raster"),
    ("huge.asc", b"ncols 900000000\nnrows 900000000\nxllcorner 0\nyllcorner 0\ncellsize 1\n1 2 3\n",
     "size|cannot be read"),
    ("one.asc", b"ncols 1\nnrows 1\nxllcorner 0\nyllcorner 0\ncellsize 1\n1\n", "is not that of a terrain raster"),
])
def test_what_is_no_terrain_is_refused_with_one_sentence(tmp_path: Path, name: str, content: bytes | None,
                                                         match: str) -> None:
    path = tmp_path / name
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(FileTrouble, match=match):
        open_terrain(path, grid=GRID, crs=GRID)


def test_a_picture_is_refused(tmp_path: Path) -> None:
    path = _written(tmp_path, _ramp(dtype="uint8"), bands=3, photometric="RGB")
    with pytest.raises(FileTrouble, match="picture"):
        open_terrain(path, grid=GRID)


def test_a_raster_without_a_place_is_refused(tmp_path: Path) -> None:
    path = write_raster(tmp_path / "n.tif", _ramp(), crs=None, transform=Affine.identity())
    with pytest.raises(FileTrouble, match="no place on the ground"):
        open_terrain(path, grid=GRID, crs=GRID)


@pytest.mark.parametrize("side", [1e-10, 1e-300])
def test_cells_too_small_to_have_a_size_are_refused(tmp_path: Path, side: float) -> None:
    path = write_raster(tmp_path / "n.tif", _ramp(), crs=GRID, transform=Affine(1.0, 0.0, 5e5, 0.0, -side, 6e6))
    with pytest.raises(FileTrouble, match="its cells have no size"):
        open_terrain(path, grid=GRID)


def test_complex_values_are_refused(tmp_path: Path) -> None:
    with pytest.raises(FileTrouble, match="complex64"):
        open_terrain(_written(tmp_path, _ramp(dtype="complex64")), grid=GRID)


def test_a_file_cut_short_says_which_rows(tmp_path: Path) -> None:
    path = write_surface(tmp_path / "cut.tif", lambda x, y: np.sin(x) + np.cos(y), west=WEST, north=NORTH, rows=600,
                         columns=600, tiled=True, blockxsize=256, blockysize=256)
    path.write_bytes(path.read_bytes()[:-1_200_000])
    with open_terrain(path, grid=GRID) as terrain, pytest.raises(FileTrouble, match=r"rows \d+ to \d+ cannot be read"):
        terrain.levels(_centre(580, 580))


def test_a_raster_out_of_reach_of_the_grid_is_refused(tmp_path: Path) -> None:
    dutch = Affine(0.001, 0.0, 5.0, 0.0, -0.001, 52.0)
    path = write_raster(tmp_path / "f.tif", _ramp(), crs="EPSG:4326", transform=dutch)
    with pytest.raises(GridTrouble):
        open_terrain(path, grid=GRID)
