"""The job file: a valid GeoPackage, the same job back, whole or not at all, and one sentence when it is damaged.

Source:
    OGC 12-128r18, GeoPackage Encoding Standard 1.3.1; clauses and tables are named beside the tests.
"""

from __future__ import annotations

import sqlite3
import struct
import warnings
from contextlib import closing
from dataclasses import fields, replace
from decimal import Decimal
from pathlib import Path

import fiona
import numpy as np
import pyogrio
import pytest
import shapely
from job_samples import ODD_NAME, corners, empty_job, full_job, levels_of

from planner.alignment.line import FenceLine
from planner.errors import FileTrouble, JobTrouble
from planner.files.job_file import is_job_file, read_job, state_of, write_job
from planner.files.migrations import to_1_1, to_1_2
from planner.job.job import Job
from planner.job.quote_terms import QuoteTerms
from planner.job.unread import Unread

FEATURE_TABLES = {"lines", "gates", "crossings", "features", "survey_points"}
DERIVED = {"sections", "posts", "joins", "pegs"}


@pytest.fixture
def path(tmp_path: Path) -> Path:
    target = tmp_path / "farm.job.gpkg"
    write_job(target, full_job())
    return target


def asked(path: Path, question: str) -> list[tuple]:
    with closing(sqlite3.connect(path)) as database:
        return list(database.execute(question))


def changed(path: Path, *statements: str, **values: object) -> None:
    with closing(sqlite3.connect(path)) as database:
        for statement in statements:
            database.execute(statement, values)
        database.commit()


def same(a: Job, b: Job) -> None:
    """Fails where two jobs differ, naming the field."""
    for field in fields(Job):
        one, other = getattr(a, field.name), getattr(b, field.name)
        assert one == other, field.name
    assert list(a.levels) == list(b.levels)


# a valid GeoPackage


def test_the_file_says_that_it_is_a_geopackage_of_version_1_3(path: Path):
    """Requirement 2 with table 1; the marks stand in the file's first hundred bytes."""
    head = path.read_bytes()[:100]
    assert head[:16] == b"SQLite format 3\x00"
    assert head[68:72] == b"GPKG"
    assert struct.unpack(">i", head[60:64])[0] == 10301
    assert asked(path, "PRAGMA integrity_check") == [("ok",)]
    assert asked(path, "PRAGMA foreign_key_check") == []


def test_the_coordinate_systems_that_every_geopackage_has(path: Path):
    """Requirement 11: -1, 0, 4326, and the job's own with its definition."""
    systems = {row[0]: row[1:] for row in asked(
        path, "SELECT srs_id, organization, organization_coordsys_id, definition FROM gpkg_spatial_ref_sys")}
    assert set(systems) == {-1, 0, 4326, 7855}
    assert systems[-1] == ("NONE", -1, "undefined")
    assert systems[0] == ("NONE", 0, "undefined")
    assert systems[4326][:2] == ("EPSG", 4326)
    assert systems[7855][2].startswith("PROJCS[")


def test_every_table_is_registered_as_what_it_is(path: Path):
    """Requirements 13 to 16, 21, 118 and 119: contents, geometry columns and tables tell one story."""
    contents = dict(asked(path, "SELECT table_name, data_type FROM gpkg_contents"))
    tables = {name for (name,) in asked(path, "SELECT name FROM sqlite_master WHERE type = 'table'")}
    own = {name for name in tables if not name.startswith(("gpkg_", "sqlite_"))}
    assert own == set(contents)
    assert {name for name, kind in contents.items() if kind == "features"} == FEATURE_TABLES
    assert {kind for name, kind in contents.items() if name not in FEATURE_TABLES} == {"attributes"}
    geometry = {row[0]: row[1:] for row in asked(path, "SELECT * FROM gpkg_geometry_columns")}
    assert set(geometry) == FEATURE_TABLES
    assert {row[0] for row in geometry.values()} == {"geom"}
    assert {row[2] for row in geometry.values()} == {7855}
    srs = dict(asked(path, "SELECT table_name, srs_id FROM gpkg_contents WHERE data_type = 'features'"))
    assert set(srs.values()) == {7855}


def test_every_feature_table_has_an_integer_key(path: Path):
    """Requirements 29 and 150: one column INTEGER PRIMARY KEY AUTOINCREMENT."""
    for table in FEATURE_TABLES:
        (key,) = [row for row in asked(path, f"PRAGMA table_info({table})") if row[5]]
        assert (key[1], key[2]) == ("fid", "INTEGER")


def test_the_programs_own_tables_are_a_registered_extension(path: Path):
    """Requirement 58 and following: the extensions table names each, so that validators stay quiet."""
    listed = asked(path, "SELECT table_name, extension_name, definition, scope FROM gpkg_extensions")
    contents = {name for (name,) in asked(path, "SELECT table_name FROM gpkg_contents WHERE data_type = 'attributes'")}
    assert {row[0] for row in listed} == contents
    assert all(row[1] == "strainwright_job" and row[2] and row[3] in ("read-write", "write-only") for row in listed)


def test_bounds_hold_the_shapes(path: Path):
    (box,) = asked(path, "SELECT min_x, min_y, max_x, max_y FROM gpkg_contents WHERE table_name = 'lines'")
    assert box == pytest.approx((500_000, 6_000_000, 500_400, 6_000_510))


def test_blobs_are_headed_as_the_standard_says(path: Path):
    """Clause 2.1.3.1.1, table 5: magic, version 0, little endian with an envelope of x and y, srs_id."""
    for (blob,) in asked(path, "SELECT geom FROM lines"):
        assert blob[:4] == b"GP\x00\x03"
        assert struct.unpack("<i", blob[4:8])[0] == 7855
        low_x, high_x, low_y, high_y = struct.unpack("<4d", blob[8:40])
        assert (low_x, low_y, high_x, high_y) == shapely.from_wkb(blob[40:]).bounds


@pytest.mark.parametrize("make", [full_job, empty_job])
def test_other_programs_read_every_layer_without_a_warning(tmp_path: Path, make):
    target = tmp_path / "farm.job.gpkg"
    job = make()
    write_job(target, job)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        layers = {name for name, _ in pyogrio.list_layers(target)}
        assert set(fiona.listlayers(target)) == layers
        assert layers >= FEATURE_TABLES
        for name in FEATURE_TABLES:
            frame = pyogrio.read_dataframe(target, layer=name)
            assert frame.crs.to_epsg() == 7855
            with fiona.open(target, layer=name) as layer:
                assert len(list(layer)) == len(frame)
        assert len(pyogrio.read_dataframe(target, layer="lines")) == len(job.lines)


def test_derived_layers_are_read_by_other_programs(demo_job: Path):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for name in DERIVED:
            frame = pyogrio.read_dataframe(demo_job, layer=name)
            assert frame.geometry.has_z.all()
            assert frame.geometry.is_valid.all()
    assert len(pyogrio.read_dataframe(demo_job, layer="posts")) > 100


@pytest.fixture(scope="module")
def demo_job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    from planner.files.derived_layers import derived_layers
    from planner.job.derive import plan_job

    line = FenceLine("Home", "general-mesh", corners((0, 0), (600, 0), (600, 300)))
    job = Job("Home", "EPSG:7855", lines=(line,), levels={"Home": levels_of(line)})
    target = tmp_path_factory.mktemp("demo") / "home.job.gpkg"
    write_job(target, job, derived_layers(plan_job(job)))
    return target


def test_derived_layers_are_never_read_back(demo_job: Path):
    changed(demo_job, "DROP TABLE sections", "DELETE FROM posts")
    assert [line.name for line in read_job(demo_job).lines] == ["Home"]


def test_a_job_whose_grid_is_still_to_be_chosen(tmp_path: Path):
    target = tmp_path / "new.job.gpkg"
    write_job(target, Job("New", ""))
    same(read_job(target), Job("New", ""))


@pytest.mark.parametrize("table", ["gates", "crossings", "strainwright_stretches"])
def test_what_stands_on_a_line_that_is_not_there_is_said_and_not_lost(path: Path, table: str):
    changed(path, f"UPDATE {table} SET line = 'renamed elsewhere'")
    with pytest.raises(JobTrouble, match="stands on the line 'renamed elsewhere', which is not there"):
        read_job(path)


def test_a_grid_without_a_code_is_kept_as_text(tmp_path: Path):
    import pyproj

    local = pyproj.CRS("+proj=tmerc +lat_0=0 +lon_0=147 +k=1 +x_0=50000 +y_0=0 +ellps=GRS80 +units=m").to_wkt()
    target = tmp_path / "farm.job.gpkg"
    write_job(target, replace(full_job(), crs=local))
    assert read_job(target).crs == local
    assert pyogrio.read_dataframe(target, layer="lines").crs.is_projected


# the same job back


@pytest.mark.parametrize("make", [full_job, empty_job])
def test_the_same_job_comes_back(tmp_path: Path, make):
    target = tmp_path / "farm.job.gpkg"
    write_job(target, make())
    same(read_job(target), make())


def test_the_same_job_gives_the_same_tables(tmp_path: Path):
    for name in ("a", "b"):
        write_job(tmp_path / f"{name}.job.gpkg", full_job())
    for table in (*FEATURE_TABLES, "strainwright_levels", "strainwright_prices", "strainwright_job"):
        assert asked(tmp_path / "a.job.gpkg", f"SELECT * FROM {table}") == asked(
            tmp_path / "b.job.gpkg", f"SELECT * FROM {table}")


def test_prices_come_back_to_the_last_digit(path: Path):
    (price,) = read_job(path).prices.prices.values()
    assert str(price.price) == "89.9050"
    assert price.price == Decimal("89.905")


def test_levels_that_are_not_known_stay_unknown(path: Path):
    levels = read_job(path).levels[ODD_NAME]
    assert np.isnan(levels.level_m).tolist() == [False] * 5 + [True] * 2 + [False] * 2
    assert levels.quality.survey_off_m == 0.1 + 0.2


def _fitted(job: Job) -> Job:
    first = replace(job.lines[0], corner_sd_m=np.array([1.5, 1 / 3, 0.0, 22.25, 1.5]))
    return replace(job, lines=(first, *job.lines[1:]))


def test_how_well_fitted_corners_are_known_comes_back(tmp_path: Path):
    path = tmp_path / "fitted.job.gpkg"
    write_job(path, _fitted(full_job()))
    same(read_job(path), _fitted(full_job()))
    with closing(sqlite3.connect(path)) as database:
        database.execute("DROP TABLE strainwright_corners")
        database.commit()
    assert [line.corner_sd_m for line in read_job(path).lines] == [None, None]


@pytest.mark.parametrize("statement", [
    "UPDATE strainwright_corners SET sd_m = (SELECT at_m FROM strainwright_levels)",
    "UPDATE strainwright_corners SET sd_m = (SELECT level_m FROM strainwright_levels)",
    "UPDATE strainwright_corners SET sd_m = x'00'",
    "UPDATE strainwright_corners SET sd_m = NULL",
    "UPDATE strainwright_corners SET line = 'Creek'",
    "UPDATE strainwright_corners SET line = 'nowhere'",
    "INSERT INTO strainwright_corners (line, sd_m) SELECT line, sd_m FROM strainwright_corners",
])
def test_deviations_of_corners_that_cannot_be(tmp_path: Path, statement: str):
    path = tmp_path / "fitted.job.gpkg"
    write_job(path, _fitted(full_job()))
    with closing(sqlite3.connect(path)) as database:
        assert database.execute(statement).rowcount > 0
        database.commit()
    with pytest.raises(JobTrouble, match="the job is damaged"):
        read_job(path)


def test_a_line_of_three_thousand_corners(tmp_path: Path):
    at = np.arange(3000) * 7.0
    line = FenceLine("Long", "general-mesh", np.column_stack((500_000 + at, 6_000_000 + 50 * np.sin(at / 90))))
    job = Job("Long", "EPSG:7855", lines=(line,), levels={"Long": levels_of(line)})
    target = tmp_path / "long.job.gpkg"
    write_job(target, job)
    same(read_job(target), job)


def test_settings_that_are_the_defaults_are_not_written(path: Path, tmp_path: Path):
    written = dict(asked(path, "SELECT name, value FROM strainwright_settings"))
    assert written == {"corner_deg": "17.5", "roll_joins_allowed": "false", "currency": '"NZD"'}


@pytest.mark.parametrize(("name", "is_job"), [("a.job.gpkg", True), ("A.JOB.GPKG", True), ("a.gpkg", False),
                                              ("job.gpkg", False), ("a.job", False)])
def test_what_a_job_file_is_called(name: str, is_job: bool):
    assert is_job_file(Path(name)) == is_job


# whole or not at all


def test_a_failure_half_way_leaves_the_old_file_and_nothing_beside_it(path: Path):
    from planner.files.geopackage import Layer

    def failing():
        yield Layer("sections", "POINT", ()), [], []
        raise RuntimeError("half-way")

    before = path.read_bytes()
    with pytest.raises(RuntimeError, match="half-way"):
        write_job(path, empty_job(), failing())
    assert path.read_bytes() == before
    assert list(path.parent.iterdir()) == [path]


def test_an_interruption_leaves_the_old_file_and_nothing_beside_it(path: Path):
    def interrupted():
        raise KeyboardInterrupt
        yield

    before = path.read_bytes()
    with pytest.raises(KeyboardInterrupt):
        write_job(path, empty_job(), interrupted())
    assert path.read_bytes() == before
    assert list(path.parent.iterdir()) == [path]


def test_a_table_that_cannot_be_made_is_one_sentence(path: Path):
    from planner.files.geopackage import Layer

    before = path.read_bytes()
    with pytest.raises(FileTrouble, match="the job cannot be written"):
        write_job(path, empty_job(), [(Layer("lines", "POINT", ()), [], [])])
    assert path.read_bytes() == before


def test_a_folder_that_is_not_there(tmp_path: Path):
    with pytest.raises(FileTrouble, match="cannot be written"):
        write_job(tmp_path / "gone" / "farm.job.gpkg", empty_job())


def test_reading_changes_nothing_and_leaves_nothing(path: Path):
    before = path.read_bytes()
    read_job(path)
    assert path.read_bytes() == before
    assert list(path.parent.iterdir()) == [path]


def test_a_name_with_signs_that_mean_something_in_an_address(tmp_path: Path):
    target = tmp_path / "a b?c#d%20é.job.gpkg"
    write_job(target, full_job())
    same(read_job(target), full_job())


# strangers, newer ones, damaged ones


def test_a_newer_format_is_refused_and_named(path: Path):
    changed(path, "UPDATE strainwright_job SET value = '2.0' WHERE name = 'format'")
    with pytest.raises(JobTrouble, match=r"job format 2\.0, newer than the 1\.\d+ .*with version 2 of the program"):
        read_job(path)


def test_a_newer_minor_format_is_read(path: Path):
    changed(path, "UPDATE strainwright_job SET value = '1.99' WHERE name = 'format'",
            "ALTER TABLE strainwright_notes ADD COLUMN author TEXT")
    same(replace(read_job(path), unread=Unread()), full_job())


@pytest.mark.parametrize("found", ["", "x.y"])
def test_a_format_of_no_number_is_refused(path: Path, found: str):
    changed(path, "UPDATE strainwright_job SET value = :found WHERE name = 'format'", found=found)
    with pytest.raises(JobTrouble, match="job format"):
        read_job(path)


def test_another_programs_geopackage_is_no_job(tmp_path: Path):
    target = tmp_path / "theirs.job.gpkg"
    with closing(sqlite3.connect(target)) as database:
        database.execute("CREATE TABLE theirs (id INTEGER)")
    with pytest.raises(JobTrouble, match="not a job of this program"):
        read_job(target)


@pytest.mark.parametrize("kept", [0.02, 0.3, 0.6, 0.95])
def test_a_truncated_file(path: Path, kept: float):
    whole = path.read_bytes()
    path.write_bytes(whole[:int(len(whole) * kept)])
    with pytest.raises(JobTrouble, match=r"the job is damaged|not a job of this program"):
        read_job(path)


@pytest.mark.parametrize("table", [*sorted(FEATURE_TABLES), "strainwright_settings", "strainwright_levels",
                                   "strainwright_prices", "strainwright_notes", "strainwright_waivers"])
def test_a_table_that_is_gone(path: Path, table: str):
    changed(path, f"DROP TABLE {table}")
    with pytest.raises(JobTrouble, match="the job is damaged"):
        read_job(path)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE lines SET geom = x'00'",
        "UPDATE lines SET geom = NULL",
        "UPDATE lines SET geom = 'text'",
        "UPDATE lines SET geom = x'4750000300000000'",
        "UPDATE lines SET geom = substr(geom, 1, 60)",
        "UPDATE lines SET geom = (SELECT geom FROM survey_points)",
        "UPDATE lines SET name = NULL",
        "UPDATE lines SET name = 'same'",
        "UPDATE lines SET accuracy = 'perfect'",
        "UPDATE lines SET fence = NULL",
        "UPDATE gates SET geom = (SELECT geom FROM lines)",
        "UPDATE gates SET width_m = 'wide'",
        "UPDATE gates SET width_m = NULL",
        "UPDATE crossings SET span_m = NULL",
        "UPDATE crossings SET depth_m = 'deep'",
        "UPDATE features SET attributes = 'no json'",
        "UPDATE features SET attributes = '[1]'",
        "UPDATE features SET geom = NULL",
        "UPDATE survey_points SET geom = (SELECT geom FROM lines)",
        "UPDATE survey_points SET level_m = 'high'",
        "UPDATE strainwright_job SET value = NULL WHERE name = 'name'",
        "DELETE FROM strainwright_job WHERE name = 'name'",
        "DELETE FROM strainwright_job WHERE name = 'crs'",
        "UPDATE strainwright_job SET value = 'EPSG:4326' WHERE name = 'crs'",
        "UPDATE strainwright_settings SET value = 'no json'",
        "UPDATE strainwright_settings SET value = '[1]' WHERE name = 'corner_deg'",
        "UPDATE strainwright_settings SET value = '99' WHERE name = 'corner_deg'",
        "UPDATE strainwright_settings SET name = 'nothing' WHERE name = 'corner_deg'",
        "UPDATE strainwright_fences SET toml = NULL",
        "UPDATE strainwright_levels SET level_m = x'00'",
        "UPDATE strainwright_levels SET level_m = NULL",
        "UPDATE strainwright_levels SET level_m = corners",
        "UPDATE strainwright_levels SET names = '1'",
        "UPDATE strainwright_levels SET quality = '{\"unheard\": 1}'",
        "UPDATE strainwright_levels SET noise_m = 'loud'",
        "UPDATE strainwright_levels SET source = level_m",
        "UPDATE strainwright_prices SET price = 'cheap'",
        "UPDATE strainwright_prices SET price = NULL",
        "UPDATE strainwright_prices SET dated = 'yesterday'",
        "UPDATE strainwright_prices SET pack = 'ten'",
        "UPDATE strainwright_stretches SET from_m = 'here'",
        "UPDATE strainwright_notes SET text = NULL",
        "UPDATE strainwright_waivers SET reason = NULL",
    ],
)
def test_values_that_cannot_be(path: Path, statement: str):
    with closing(sqlite3.connect(path)) as database:
        count = database.execute(statement).rowcount
        database.commit()
    assert count > 0
    with pytest.raises(JobTrouble) as caught:
        read_job(path)
    text = str(caught.value)
    assert str(path) in text
    assert "\n" not in text
    assert text.endswith(".")


def test_what_somebody_else_has_saved_since_is_not_overwritten(path: Path):
    was, job = state_of(path), read_job(path)
    write_job(path, replace(job, name="theirs"))
    with pytest.raises(JobTrouble, match="another program has saved this job in the meantime"):
        write_job(path, replace(job, name="mine"), was=was)
    assert read_job(path).name == "theirs"
    assert [p.name for p in path.parent.iterdir()] == [path.name]


def test_a_job_that_appeared_in_the_meantime_is_not_overwritten(path: Path, tmp_path: Path):
    target = tmp_path / "new.job.gpkg"
    was, job = state_of(target), read_job(path)
    write_job(target, job, was=was)
    with pytest.raises(JobTrouble, match="in the meantime"):
        write_job(target, job, was=was)


def test_a_job_that_nobody_touched_is_written_over(path: Path):
    was, job = state_of(path), read_job(path)
    write_job(path, replace(job, name="mine"), was=was)
    assert read_job(path).name == "mine"


# quote terms, options and stages, and the format before they were there


def test_a_file_of_format_1_0_is_opened_with_the_defaults():
    """Written by the version that had job format 1.0, and kept since."""
    job = read_job(Path(__file__).parent / "jobs" / "format-1.0.job.gpkg")
    assert [line.name for line in job.lines] == [ODD_NAME, "Creek"]
    assert len(job.prices.prices) == 1
    assert (job.terms, job.options, job.option, job.stages) == (QuoteTerms(), (), "", ())


@pytest.mark.parametrize("table", [*to_1_1.TABLES, *to_1_2.TABLES])
def test_a_table_of_a_later_format_that_is_gone_gives_the_default(path: Path, table: str):
    changed(path, f"DROP TABLE {table}")
    assert [line.name for line in read_job(path).lines] == [ODD_NAME, "Creek"]


def test_terms_that_are_the_defaults_are_not_written(path: Path):
    written = dict(asked(path, "SELECT name, value FROM strainwright_quote_terms"))
    assert set(written) == {"mark_up", "rates", "multipliers", "extras", "valid_days", "inclusions"}
    assert written["mark_up"] == '"0.15"', "money and shares to the last digit"


def test_terms_that_a_newer_minor_version_added_are_left_alone(path: Path):
    changed(path, "INSERT INTO strainwright_quote_terms (name, value) VALUES ('colour', '\"green\"')")
    same(read_job(path), full_job())


@pytest.mark.parametrize("statement", [
    "UPDATE strainwright_quote_terms SET value = 'no json' WHERE name = 'mark_up'",
    "UPDATE strainwright_quote_terms SET value = '\"much\"' WHERE name = 'mark_up'",
    "UPDATE strainwright_quote_terms SET value = '[1]' WHERE name = 'inclusions'",
    "UPDATE strainwright_quote_terms SET value = '0' WHERE name = 'valid_days'",
    "UPDATE strainwright_quote_terms SET value = '[[\"roof\", \"1\"]]' WHERE name = 'rates'",
    "UPDATE strainwright_quote_terms SET value = '[{\"what\": 1}]' WHERE name = 'extras'",
    "UPDATE strainwright_stages SET year = 'soon'",
    "UPDATE strainwright_options SET note = NULL",
])
def test_choices_that_cannot_be(path: Path, statement: str):
    changed(path, statement)
    with pytest.raises(JobTrouble, match="the job is damaged"):
        read_job(path)
