"""A job of a newer minor format: it opens, and what this version does not know is still there after saving."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pyogrio
import pytest
import shapely
from job_samples import DAY, ODD_NAME, full_job

from planner.errors import JobTrouble
from planner.files import geopackage
from planner.files.derived_layers import derived_layers
from planner.files.job_file import open_job, read_job, state_of, write_job
from planner.files.job_tables import FORMAT
from planner.files.unread_parts import DERIVED, from_values, values_of
from planner.job.derive import plan_job
from planner.job.edits import ChangeLine, RemoveLine
from planner.job.unread import Unread
from planner.upkeep.records import Progress


def asked(path: Path, question: str) -> list[tuple]:
    with closing(sqlite3.connect(path)) as database:
        return list(database.execute(question))


@pytest.fixture
def newer(tmp_path: Path) -> Path:
    """A job as a later version might write it: a table, a layer, columns, a setting, facts and terms more."""
    path = tmp_path / "newer.job.gpkg"
    write_job(path, full_job())
    with closing(sqlite3.connect(path)) as database:
        database.execute("UPDATE strainwright_job SET value = '1.9' WHERE name = 'format'")
        geopackage.add_table(database, "strainwright_drones", (("name", "TEXT"), ("weight_kg", "DOUBLE"),
                                                               ("photo", "BLOB")),
                             [("low \"flyer\"", 1.25, b"\x00\xff"), ("high", None, None)], description="drones",
                             extension="strainwright_job", definition="elsewhere")
        geopackage.add_layer(database, geopackage.Layer("troughs", "POINT", (("litres", "INTEGER"),), True, "water"),
                             7855, [(900,)], [shapely.Point(500_010, 6_000_010, 5)])
        database.execute("ALTER TABLE lines ADD COLUMN colour TEXT")
        database.execute("UPDATE lines SET colour = 'green' WHERE name = 'Creek'")
        database.execute("ALTER TABLE features ADD COLUMN height_m DOUBLE")
        database.execute("UPDATE features SET height_m = 12.5 WHERE name = 'Wood'")
        database.execute("INSERT INTO strainwright_settings (name, value) VALUES ('moon_phase', '\"full\"')")
        database.execute("INSERT INTO strainwright_job (name, value) VALUES ('client', 'Ann')")
        database.execute("INSERT INTO strainwright_quote_terms (name, value) VALUES ('retention', '\"0.05\"')")
        database.execute("INSERT INTO strainwright_line_facts (line, name, value) VALUES ('Creek', 'paint', 'red')")
        database.commit()
    return path


def test_it_opens_with_all_that_is_known_and_says_what_is_not(newer: Path) -> None:
    opened = open_job(newer)
    assert replace(opened.job, unread=Unread()) == full_job()
    (note,) = opened.notes
    for part in ("format 1.9", "'strainwright_drones'", "'troughs'", "'colour' of 'lines'", "'moon_phase'", "'client'",
                 "'retention'", "'paint'"):
        assert part in note


def test_what_is_unknown_is_written_back(newer: Path, tmp_path: Path) -> None:
    job = read_job(newer)
    again = tmp_path / "again.job.gpkg"
    plain = replace(job, own_fences={}, own_items="", lines=tuple(
        replace(line, fence="general-mesh") for line in job.lines))
    write_job(again, replace(job, name="changed"), derived_layers(plan_job(plain)))
    for question in ("SELECT * FROM strainwright_drones", "SELECT fid, geom, litres FROM troughs",
                     "SELECT name, colour FROM lines", "SELECT name, height_m FROM features",
                     "SELECT name, value FROM strainwright_settings ORDER BY name",
                     "SELECT name, value FROM strainwright_quote_terms ORDER BY name",
                     "SELECT line, name, value FROM strainwright_line_facts ORDER BY name",
                     "SELECT value FROM strainwright_job WHERE name IN ('client', 'format') ORDER BY name",
                     "SELECT * FROM gpkg_geometry_columns WHERE table_name = 'troughs'",
                     "SELECT * FROM gpkg_extensions WHERE table_name = 'strainwright_drones'",
                     "SELECT data_type, description, srs_id FROM gpkg_contents WHERE table_name = 'troughs'"):
        assert asked(again, question) == asked(newer, question) != [], question
    assert read_job(again) == replace(job, name="changed")
    assert asked(again, "PRAGMA integrity_check") == [("ok",)]
    _, _, shapes, values = pyogrio.raw.read(again, layer="troughs")
    assert shapely.from_wkb(shapes[0]).wkt == "POINT Z (500010 6000010 5)"
    assert list(values[0]) == [900]


def test_what_hangs_on_a_line_goes_with_its_new_name_and_with_the_line(newer: Path, tmp_path: Path) -> None:
    job = ChangeLine("Creek", new_name="Brook").apply(read_job(newer))
    write_job(newer, job, was=state_of(newer))
    assert asked(newer, "SELECT name, colour FROM lines ORDER BY name") == [("Brook", "green"), (ODD_NAME, None)]
    assert asked(newer, "SELECT line FROM strainwright_line_facts WHERE name = 'paint'") == [("Brook",)]
    write_job(newer, RemoveLine("Brook").apply(read_job(newer)), was=state_of(newer))
    assert asked(newer, "SELECT name, colour FROM lines") == [(ODD_NAME, None)]


def test_a_table_that_another_program_put_into_a_job_of_this_format_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "styled.job.gpkg"
    write_job(path, full_job())
    with closing(sqlite3.connect(path)) as database:
        database.execute("CREATE TABLE layer_styles (id INTEGER PRIMARY KEY, styleQML TEXT)")
        database.execute("INSERT INTO layer_styles VALUES (3, '<qgis/>')")
        database.commit()
    opened = open_job(path)
    assert "layer_styles" in opened.notes[0]
    write_job(path, opened.job, was=state_of(path))
    assert asked(path, "SELECT * FROM layer_styles") == [(3, "<qgis/>")]
    assert asked(path, "SELECT value FROM strainwright_job WHERE name = 'format'")[0][0] != ""


def test_an_unknown_setting_in_a_file_of_this_format_is_damage(newer: Path) -> None:
    with closing(sqlite3.connect(newer)) as database:
        database.execute(f"UPDATE strainwright_job SET value = '{FORMAT}' WHERE name = 'format'")
        database.commit()
    with pytest.raises(JobTrouble, match="no such setting"):
        read_job(newer)


def test_a_newer_major_format_names_the_version_that_reads_it(newer: Path) -> None:
    with closing(sqlite3.connect(newer)) as database:
        database.execute("UPDATE strainwright_job SET value = '3.0' WHERE name = 'format'")
        database.commit()
    with pytest.raises(JobTrouble, match=r"job format 3\.0.*version 3 of the program"):
        read_job(newer)


def test_a_type_that_would_be_a_statement_is_not_run(tmp_path: Path) -> None:
    path = tmp_path / "odd.job.gpkg"
    write_job(path, full_job())
    with closing(sqlite3.connect(path)) as database:
        database.execute('CREATE TABLE odd (a "TEXT); DROP TABLE lines; --")')
        database.execute("INSERT INTO odd (a) VALUES ('x')")
        database.commit()
    write_job(path, read_job(path), was=state_of(path))
    assert asked(path, "SELECT * FROM odd") == [("x",)]
    assert asked(path, "SELECT count(*) FROM lines") == [(2,)]


def test_plain_values_and_back(newer: Path) -> None:
    unread = read_job(newer).unread
    assert from_values(values_of(unread)) == unread
    assert from_values(values_of(Unread())) == Unread()
    with pytest.raises(ValueError, match="nothing that a job file holds"):
        from_values([["roof", 1]])


def test_computed_layers_are_not_taken_for_unknown_ones(tmp_path: Path) -> None:
    job = replace(full_job(), own_fences={}, own_items="", lines=tuple(
        replace(line, fence="general-mesh") for line in full_job().lines))
    layers = list(derived_layers(plan_job(job)))
    assert {layer.name for layer, _, _ in layers} == set(DERIVED)
    write_job(tmp_path / "it.job.gpkg", job, layers)
    assert open_job(tmp_path / "it.job.gpkg").notes == ()


def test_records_stay_beside_what_is_unread(newer: Path) -> None:
    job = read_job(newer)
    more = replace(job.records, progress=(*job.records.progress, Progress("Creek", "", "posts", 0.5, DAY)))
    write_job(newer, replace(job, records=more), was=state_of(newer))
    assert read_job(newer) == replace(job, records=more)
