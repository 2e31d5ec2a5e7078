"""The import: what each file is, the question of the grid, columns, troubles, what is taken; one step to undo."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
import shapely

from planner.findings import Finding, Place
from planner.geometry.lines import leg_lengths
from planner.job.job import Job
from planner.shipped import sample_data
from planner.survey.datum import to_lonlat
from planner.survey.fitting_systems import GRIDS, LONLAT
from planner.ui.dialogs.import_dialog import ImportDialog
from planner.ui.dialogs.import_grid import offered
from planner.ui.dialogs.import_pages import COLUMN_ROLES
from planner.ui.dialogs.import_roles import usual_role
from planner.ui.dialogs.import_words import findings_head

SAMPLE = ("boundary.shp", "creek.gpkg", "division-walk.gpx", "survey-points.csv", "division-points.csv", "terrain.tif",
          "prices.csv")
FARM = np.array([455_000.0, 5_951_000.0])


@pytest.fixture
def bring(document, qtbot) -> Iterator[Callable[..., ImportDialog]]:
    made: list[ImportDialog] = []

    def make(*paths: Path) -> ImportDialog:
        dialog = ImportDialog(document, list(paths), "general-mesh")
        qtbot.addWidget(dialog)
        dialog.show()
        dialog.wait()
        made.append(dialog)
        return dialog

    yield make
    for dialog in made:
        dialog.done(0)


def state(dialog: ImportDialog) -> list[str]:
    return [dialog.state_of(one) for one in dialog.files]


def accept(dialog: ImportDialog) -> None:
    assert dialog.is_ready
    dialog.bring.click()
    dialog.wait()


def test_every_sample_file_is_told_for_what_it_is(bring):
    dialog = bring(*(sample_data() / name for name in SAMPLE))
    assert [one.kind for one in dialog.files] == ["lines and points"] * 5 + ["terrain", "prices"]
    assert dialog.placed.asks == (str(sample_data() / "survey-points.csv"), str(sample_data() / "division-points.csv"))
    assert not dialog.is_ready
    dialog.question.answer("EPSG:7855")
    dialog.wait()
    assert dialog.is_ready
    assert state(dialog) == ["fine"] * 7 or "wrong" not in state(dialog)


def test_the_sample_files_come_in_as_one_step(bring, document):
    dialog = bring(*(sample_data() / name for name in SAMPLE))
    dialog.question.answer("EPSG:7855")
    dialog.wait()
    accept(dialog)
    job = document.job
    assert {line.name for line in job.lines} == {"Home block", "Gully division"}
    assert [(feature.name, feature.meaning) for feature in job.features] == [("Tallow Creek", "water")]
    assert sum(len(line.gates) for line in job.lines) == 4
    assert job.crs == "EPSG:7855"
    assert job.prices.prices
    assert [Path(path).name for path in job.grounds] == ["terrain.tif"]
    assert np.isfinite(job.levels["Home block"].level_m).all()
    assert document.history.can_undo == "import 7 files"
    document.undo()
    assert not document.job.lines
    document.redo()
    assert document.job is job


@pytest.mark.parametrize("name", SAMPLE)
def test_each_sample_file_alone_into_the_sample_job(bring, document, sample, name):
    document.start(sample)
    dialog = bring(sample_data() / name)
    if dialog.question.isVisible():
        assert not dialog.is_ready
        dialog.question.same.click()
        dialog.wait()
    accept(dialog)
    assert document.history.can_undo == f"import {name}" or document.job is sample
    document.wait_for_plan()
    assert document.plan is not None


def test_a_walk_is_shown_raw_and_fitted(bring, document):
    dialog = bring(sample_data() / "division-walk.gpx")
    read = dialog.lines.model.data(dialog.lines.model.index(0, 4))
    assert dialog.lines.model.HEADS[4] == "length as read"
    assert f"length as read {read}; fitted " in dialog.fits.text()
    assert ", 4 corners" in dialog.fits.text()
    assert "left out" in dialog.fits.text()
    dialog.walked.setChecked(False)
    assert f"length as read {read}, kept as walked" in dialog.fits.text()
    accept(dialog)
    assert len(document.job.lines[0].xy) > 100


def walk(tmp_path: Path, xy: np.ndarray) -> Path:
    lonlat = to_lonlat(np.asarray(xy) + FARM, "EPSG:7855").tolist()
    path = tmp_path / "walk.gpx"
    fixes = "".join(f'<trkpt lat="{lat:.9f}" lon="{lon:.9f}"/>' for lon, lat in lonlat)
    path.write_text(f'<gpx version="1.1" creator="t"><trk><name>Walk</name><trkseg>{fixes}</trkseg></trk></gpx>')
    return path


def test_what_closes_a_walk_is_told_apart_from_its_length(bring, tmp_path):
    corners = shapely.LineString([(0, 0), (300, 0), (300, 200), (0, 200), (0, 8)])
    dialog = bring(walk(tmp_path, shapely.get_coordinates(shapely.segmentize(corners, 10.0))))
    read = dialog.lines.model.data(dialog.lines.model.index(0, 4))
    assert f"length as read {read} and 8.0\N{NO-BREAK SPACE}m to close it; fitted " in dialog.fits.text()
    assert ", 4 corners" in dialog.fits.text()


def test_a_walk_there_and_back_tells_the_way_out(bring, document, tmp_path):
    out = np.column_stack((np.arange(0.0, 401.0, 10.0), np.zeros(41)))
    dialog = bring(walk(tmp_path, np.vstack((out, out[::-1][1:] + np.array([0.0, 2.0])))))
    assert "it comes back beside itself, the way out alone is 40" in dialog.fits.text()
    accept(dialog)
    assert 395.0 < leg_lengths(document.job.lines[0].xy).sum() < 410.0


@pytest.fixture
def outlines(tmp_path: Path) -> Callable[[float], Path]:
    """Two paddocks of 100 m side by side, with a gap between them. [m]"""
    def make(gap: float) -> Path:
        rows = []
        for name, west in (("A", 0.0), ("B", 100.0 + gap)):
            box = shapely.transform(shapely.box(west, 0.0, west + 100.0, 100.0),
                                    lambda xy: to_lonlat(xy + FARM, "EPSG:7855"))
            rows.append({"type": "Feature", "properties": {"name": name}, "geometry": shapely.geometry.mapping(box)})
        path = tmp_path / "paddocks.geojson"
        path.write_text(json.dumps({"type": "FeatureCollection", "features": rows}))
        return path
    return make


def test_edges_that_outlines_share_are_offered_and_built_once(bring, document, outlines):
    dialog = bring(outlines(0.0))
    assert dialog.shared.isVisible()
    assert "1 pair of outlines runs along each other for 100.0\N{NO-BREAK SPACE}m" in dialog.shared.words.text()
    dialog.shared.box.click()
    accept(dialog)
    lengths = sorted(float(leg_lengths(line.xy).sum()) for line in document.job.lines)
    assert lengths == pytest.approx([100.0, 300.0, 300.0], abs=0.1)
    assert any("counted once" in note for note in document.job.notes)


def test_shared_edges_stay_double_where_that_is_not_wanted(bring, document, outlines):
    dialog = bring(outlines(0.0))
    accept(dialog)
    assert [line.name for line in document.job.lines] == ["A", "B"]


def test_gaps_are_closed_where_that_is_wanted(bring, document, outlines):
    dialog = bring(outlines(0.3))
    assert not dialog.shared.gap.isEnabled()
    dialog.shared.box.click()
    dialog.shared.gap.setValue(0.5)
    accept(dialog)
    assert len(document.job.lines) == 3


def test_edges_that_would_stay_double_are_told(bring, document, outlines):
    dialog = bring(outlines(0.3))
    assert not dialog.shared.left.isVisible()
    dialog.shared.box.click()
    assert "1 gap or overlap lies between them, about 0.30\N{NO-BREAK SPACE}m wide" in dialog.shared.left.text()
    assert dialog.shared.left.isVisible()
    dialog.shared.gap.setValue(0.29)
    assert dialog.shared.left.isVisible()
    dialog.shared.gap.setValue(0.31)
    assert not dialog.shared.left.isVisible()
    dialog.shared.gap.setValue(0.0)
    accept(dialog)
    assert any("here is a gap of" in note for note in document.job.notes)


def test_edges_that_touch_leave_nothing_to_tell(bring, outlines):
    dialog = bring(outlines(0.0))
    dialog.shared.box.click()
    assert not dialog.shared.left.isVisible()


def test_a_ring_has_as_many_corners_as_a_person_counts(bring, outlines):
    dialog = bring(outlines(0.0))
    assert "2 lines with 8 corners" in dialog.what.text()
    assert dialog.lines.model.data(dialog.lines.model.index(0, 3)) == "4"


def test_the_box_says_what_the_chosen_lines_are_taken_as(bring, outlines):
    lines = bring(outlines(0.0)).lines
    assert (lines.words.text(), lines.role.currentData()) == ("Take every line as", "fence")
    lines.view.selectRow(0)
    assert lines.words.text() == "Take the chosen lines as"
    lines.take_as("boundary")
    assert lines.role.currentData() == "boundary"
    lines.view.clearSelection()
    assert lines.role.currentIndex() == -1


def test_the_box_says_what_the_chosen_points_are_taken_as(bring):
    points = bring(sample_data() / "survey-points.csv").points
    assert points.about.text() == "Take every point as"
    points.table.selectRow(0)
    assert points.about.text() == "Take the chosen points as"
    assert points.table.item(0, 0).text() == points.role.currentText()


def test_what_was_only_noted_is_nothing_to_look_at():
    noted = [Finding("survey-50", severity, "Left out 1 corner.", "Nothing needs doing.", Place())
             for severity in ("note", "note", "warning")]
    assert findings_head(noted) == "To look at 1"
    assert findings_head(noted[:2]) == "Noted 2"
    assert findings_head([]) == "Notes"


@pytest.mark.parametrize(("gap", "offered"), [(0.45, True), (0.55, False)])
def test_outlines_further_apart_than_half_a_metre_share_nothing(bring, outlines, gap, offered):
    assert bring(outlines(gap)).shared.isVisible() is offered


def test_an_outline_that_is_no_fence_shares_nothing(bring, outlines):
    dialog = bring(outlines(0.0))
    dialog.shared.box.click()
    dialog.lines.view.selectRow(0)
    dialog.lines.take_as("boundary")
    assert not dialog.shared.isVisible()
    assert not dialog.shared.is_wanted


def test_lines_can_be_left_out_or_taken_as_something_else(bring, document):
    dialog = bring(sample_data() / "boundary.shp", sample_data() / "division-walk.gpx", sample_data() / "creek.gpkg")
    dialog.list.setCurrentRow(1)
    dialog.lines.take_as("none")
    dialog.list.setCurrentRow(0)
    dialog.lines.take_as("boundary")
    assert "2 things on the ground" in dialog.headline.text()
    accept(dialog)
    assert document.job.lines == ()
    assert [feature.meaning for feature in document.job.features] == ["boundary", "water"]
    assert shapely.from_wkt(document.job.features[0].wkt).geom_type == "Polygon"
    assert any("Left out on purpose: 'Gully division'" in note for note in document.job.notes)


def test_columns_are_chosen_over_the_first_rows(bring, document, tmp_path):
    path = tmp_path / "points.csv"
    path.write_text("a,b,c,d\n1,455200.5,5951300.1,230.1\n2,455300.5,5951400.1,231.1\n3,455400.5,5951350.1,232.0\n")
    document.start(Job("Farm", "EPSG:7855"))
    dialog = bring(path)
    assert state(dialog) == ["wrong"]
    assert dialog.pages.currentIndex() == 1
    for box, role in zip(dialog.columns.boxes, ("name", "x", "y", "level"), strict=True):
        box.setCurrentIndex(box.findData(role))
    dialog.columns.changed.emit(dialog.columns.said())
    dialog.wait()
    dialog.question.same.click()
    dialog.wait()
    assert [round(point.y, 1) for point in dialog.files[0].reading.points] == [5951300.1, 5951400.1, 5951350.1]
    accept(dialog)
    assert len(document.job.points) == 3


def test_two_tables_may_have_different_columns(bring, document, tmp_path):
    one, other = tmp_path / "one.csv", tmp_path / "other.csv"
    one.write_text("p,q,r,s\n1,455200.5,5951300.1,230.1\n2,455300.5,5951400.1,231.1\n")
    other.write_text("p,q,r,s\n1,5951500.1,455250.5,233.1\n2,5951600.1,455350.5,234.1\n")
    document.start(Job("Farm", "EPSG:7855"))
    dialog = bring(one, other)
    for number, roles in enumerate((("name", "x", "y", "level"), ("name", "y", "x", "level"))):
        dialog.list.setCurrentRow(number)
        for box, role in zip(dialog.columns.boxes, roles, strict=True):
            box.setCurrentIndex(box.findData(role))
        dialog.columns.changed.emit(dialog.columns.said())
        dialog.wait()
    dialog.question.same.click()
    dialog.wait()
    accept(dialog)
    assert all(455_000 < point.x < 456_000 for point in document.job.points)
    assert len(document.job.points) == 4


def test_nonsense_is_refused_with_a_sentence(bring, tmp_path):
    files = {"empty.gpx": b"", "noise.shp": bytes(range(256)) * 4, "letter.csv": b"dear sir\nhow are you\n",
             "broken.gpx": b"<gpx><trk><trkseg><trkpt lat='x' lon='y'/>", "picture.png": b"\x89PNG\r\n\x1a\n1234"}
    for name, text in files.items():
        (tmp_path / name).write_bytes(text)
    dialog = bring(*(tmp_path / name for name in files), tmp_path / "missing.gpx")
    assert state(dialog) == ["wrong"] * 6
    assert not dialog.is_ready
    for row in range(6):
        dialog.list.setCurrentRow(row)
        assert len(dialog.what.text()) > 20


def test_a_very_large_file_is_read_once_that_is_wanted(bring, document, monkeypatch):
    walk = sample_data() / "division-walk.gpx"
    monkeypatch.setattr("planner.files.read.LARGE_BYTES", walk.stat().st_size - 1)
    dialog = bring(walk)
    assert state(dialog)[0] == "wrong"
    assert "MB" in dialog.what.text()
    assert "--columns" not in dialog.what.text()
    assert dialog.large.isVisible()
    assert "very large" in dialog.words.text()
    dialog.large.click()
    dialog.wait()
    assert state(dialog)[0] != "wrong"
    assert not dialog.large.isVisible()
    accept(dialog)
    assert document.job.lines


def test_a_good_file_beside_a_bad_one_is_kept(bring, document, tmp_path):
    (tmp_path / "empty.gpx").write_bytes(b"")
    dialog = bring(sample_data() / "boundary.shp", tmp_path / "empty.gpx")
    assert state(dialog)[1] == "wrong"
    assert "1 file cannot be used" in dialog.words.text()
    accept(dialog)
    assert [line.name for line in document.job.lines] == ["Home block"]


def test_terrain_alone_is_added_and_levels_are_taken_again(bring, document, sample):
    from dataclasses import replace

    bare = replace(sample, grounds=(), levels={})
    document.start(bare)
    dialog = bring(sample_data() / "terrain.tif")
    assert "ground levels every" in dialog.what.text()
    accept(dialog)
    assert len(document.job.grounds) == 1
    assert set(document.job.levels) == {line.name for line in bare.lines}
    assert np.isfinite(document.job.levels["Home block"].level_m).all()


def test_terrain_alone_into_a_job_without_a_grid_asks_for_the_grid(bring, document):
    dialog = bring(sample_data() / "terrain.tif")
    assert dialog.question.isVisible()
    assert not dialog.is_ready
    dialog.question.answer("EPSG:7855")
    dialog.wait()
    accept(dialog)
    assert (document.job.crs, len(document.job.grounds)) == ("EPSG:7855", 1)


def test_escape_stops_the_work_and_changes_nothing(bring, document):
    dialog = bring(sample_data() / "boundary.shp")
    job = document.job
    dialog.bring.click()
    dialog.reject()
    dialog.wait()
    assert document.job is job
    assert dialog.isVisible()
    assert dialog.is_ready


def test_a_grid_that_cannot_be_used_says_why(bring):
    dialog = bring(sample_data() / "survey-points.csv")
    dialog.question.answer("EPSG:99999")
    dialog.wait()
    assert not dialog.is_ready
    assert "no coordinate system" in dialog.question.means.text()
    dialog.question.answer("EPSG:7855")
    dialog.wait()
    assert "Then it lies at 36.57" in dialog.question.means.text()
    assert dialog.is_ready


def test_small_numbers_are_offered_degrees_first(bring):
    dialog = bring(sample_data() / "survey-points.csv")
    assert dialog.placed.fitting[0] == ("EPSG:7855", "GDA2020 / MGA zone 55")
    assert "GDA94 / MGA zone 55" in dialog.question.words.text()
    assert offered(dialog.placed.fitting, "EPSG:28355")[0][0] == "EPSG:28355"
    assert offered(dialog.placed.fitting, "EPSG:2193")[0][0] == "EPSG:7855"
    assert len(offered((), "")) == len(LONLAT) + len(GRIDS)


def test_a_price_list_has_no_place_on_the_map(bring):
    dialog = bring(sample_data() / "prices.csv")
    assert dialog.map._words == "Nothing here has a place on the map."
    assert dialog.is_ready


def test_only_systems_that_fit_the_place_are_named(bring, tmp_path):
    path = tmp_path / "bores.csv"
    path.write_text("name,x,y\nBore,-1.4,54.38\nTrough,-1.401,54.381\n")
    words = bring(path).question.words.text()
    assert "WGS 84, OSGB36 or ETRS89" in words
    assert "GDA" not in words


def test_the_code_is_found_in_what_is_typed(bring):
    question = bring(sample_data() / "survey-points.csv").question
    assert {question.parse(text) for text in ("7855", "epsg:7855", "GDA2020 / MGA zone 55")} == {"EPSG:7855"}
    assert question.parse("british national") == "EPSG:27700"
    assert question.parse("zone") == ""


@pytest.mark.open_data
def test_every_trap_file_is_read_or_refused_in_words(bring, open_data):
    traps = open_data / "traps"
    dialog = bring(*sorted(traps.glob("shp/*.shp"))[:14], traps / "x.kml", traps / "two.zip")
    assert None not in dialog.files
    for row, one in enumerate(dialog.files):
        dialog.list.setCurrentRow(row)
        assert dialog.what.text()
        shown = dialog.troubles.table.rowCount()
        assert shown == len(dialog.findings_of(one)) + (len(one.reading.notes) if one.reading else 0)


@pytest.mark.parametrize(("name", "file", "role"), [
    ("Tallow Creek", "a.shp", "water"), ("North", "farm dams.gpkg", "water"),
    ("Old fence 2", "x.shp", "existing fence"),
    ("Boundary", "a.shp", "fence"), ("Main road", "a.shp", "road reserve"), ("Woodside", "a.shp", "fence"),
    ("Damien's block", "a.shp", "fence"), ("Bushland", "a.shp", "fence"), ("power line", "a.shp", "service")])
def test_what_a_line_most_likely_is(name, file, role):
    from planner.survey.fixes import MeasuredLine

    line = MeasuredLine(name, np.zeros((2, 2)), None, None, False, "polyline", "unknown", file, 1)
    assert usual_role(line) == role


def test_every_column_role_is_known_to_the_reader():
    from planner.files.readers.table_columns import HEADINGS

    assert {key for key, _ in COLUMN_ROLES if key} == set(HEADINGS)


def test_a_file_can_be_left_out_and_another_added(bring, document, tmp_path):
    (tmp_path / "empty.gpx").write_bytes(b"")
    dialog = bring(tmp_path / "empty.gpx", sample_data() / "creek.gpkg")
    dialog.list.setCurrentRow(0)
    dialog.drop.click()
    dialog.add([sample_data() / "boundary.shp", sample_data() / "creek.gpkg"])
    dialog.wait()
    assert [path.name for path in dialog.work.paths] == ["creek.gpkg", "boundary.shp"]
    assert state(dialog) == ["fine", "fine"]
    accept(dialog)
    assert [line.name for line in document.job.lines] == ["Home block"]


def test_files_dropped_on_the_window_come_to_the_import(window, qtbot, monkeypatch):
    shown = []

    def take(dialog):
        shown.append([path.name for path in dialog.work.paths])
        dialog.work.wait()
        dialog.bring.click()
        dialog.work.wait()
        dialog.done(1)
        return 1

    monkeypatch.setattr(ImportDialog, "exec", take)
    window.desk.take_files([sample_data() / "boundary.shp"])
    assert shown == [["boundary.shp"]]
    window.document.wait_for_plan()
    assert window.has_job
    assert [line.name for line in window.document.job.lines] == ["Home block"]
    assert window.document.job.name == "Boundary"
