"""Drawings: every kind of line, curves within a centimetre, points, and what is said of the rest."""

from __future__ import annotations

import math
from pathlib import Path

import ezdxf
import numpy as np
import pytest

from planner.errors import FileTrouble
from planner.files.read import read
from planner.files.readers.drawing_curves import SAGITTA_M, bulged
from planner.geometry.lines import leg_lengths


def drawn(tmp_path: Path, draw, version="R2010", units=6, binary=False) -> Path:
    document = ezdxf.new(version)
    document.header["$INSUNITS"] = units
    draw(document.modelspace())
    path = tmp_path / "plan.dxf"
    document.saveas(path, fmt="bin" if binary else "asc")
    return path


def rules(reading):
    return [f.rule for f in reading.troubles]


def length(line) -> float:
    return float(leg_lengths(line.xy).sum())


def test_lines_and_polylines_with_levels(tmp_path: Path):
    def draw(space):
        space.add_line((0, 0, 5), (30, 40, 6), dxfattribs={"layer": "FENCE"})
        space.add_line((0, 0), (30, 40))
        space.add_lwpolyline([(0, 0), (10, 0), (10, 10)], dxfattribs={"elevation": 12.5})
        space.add_polyline3d([(0, 0, 1), (10, 0, 2), (10, 10, 3)], close=True)
        space.add_polyline2d([(0, 0), (10, 0), (10, 10)])

    line, flat, raised, spatial, plain = read(drawn(tmp_path, draw)).lines
    assert (line.name, line.row, line.kind, line.accuracy, line.closed) == ("FENCE 1", 1, "polyline", "unknown", False)
    assert line.level_m is not None
    assert line.level_m.tolist() == [5, 6]
    assert flat.level_m is None
    assert raised.level_m is not None
    assert raised.level_m.tolist() == [12.5] * 3
    assert (spatial.closed, spatial.kind, len(spatial.xy)) == (True, "ring", 4)
    assert spatial.level_m is not None
    assert spatial.level_m.tolist() == [1, 2, 3, 1]
    assert plain.xy.tolist() == [[0, 0], [10, 0], [10, 10]]


@pytest.mark.rules(silent="survey-64")
@pytest.mark.parametrize("binary", [False, True])
def test_a_closed_square_is_a_ring_of_one_hectare(tmp_path: Path, binary: bool):
    path = drawn(
        tmp_path, lambda s: s.add_lwpolyline([(0, 0), (100, 0), (100, 100), (0, 100)], close=True), binary=binary
    )
    reading = read(path)
    (line,) = reading.lines
    assert (line.closed, line.kind, length(line)) == (True, "ring", 400)
    assert reading.crs == ""
    assert any("states no coordinate system" in note for note in reading.notes)
    assert reading.troubles == ()


@pytest.mark.parametrize("radius", [0.5, 50.0, 5000.0])
def test_curves_stay_within_a_centimetre(tmp_path: Path, radius: float):
    def draw(space):
        space.add_lwpolyline([(0, 0, 1), (2 * radius, 0, 0)], format="xyb")
        space.add_arc((0, 0), radius, 0, 90)
        space.add_circle((0, 0), radius)

    half, quarter, full = read(drawn(tmp_path, draw)).lines
    for line, centre in ((half, (radius, 0)), (quarter, (0, 0)), (full, (0, 0))):
        middles = (line.xy[1:] + line.xy[:-1]) / 2 - centre
        off = radius - np.hypot(middles[:, 0], middles[:, 1])
        assert off.max() <= SAGITTA_M * (1 + 1e-6)
        assert np.hypot(*(line.xy - centre).T) == pytest.approx(np.full(len(line.xy), radius), rel=1e-9)
    assert half.xy[len(half.xy) // 2, 1] < 0
    assert (full.closed, full.kind) == (True, "ring")
    assert not quarter.closed


def test_a_bulged_half_circle_has_the_length_of_one():
    arc = bulged(np.array([0.0, 0.0]), np.array([100.0, 0.0]), 1.0, 0.01)
    corners = np.concatenate(([[0.0, 0.0]], arc))
    assert float(leg_lengths(corners).sum()) == pytest.approx(50 * math.pi, abs=0.05)
    assert corners[-1].tolist() == [100.0, 0.0]


@pytest.mark.parametrize("bulge", [1e-12, -1e-12, 1e9])
def test_bulges_of_next_to_nothing_and_more_than_all(bulge: float):
    arc = bulged(np.array([0.0, 0.0]), np.array([100.0, 0.0]), bulge, 0.01)
    assert np.isfinite(arc).all()
    assert arc[-1].tolist() == [100.0, 0.0]


def test_splines_and_ellipses_follow_the_curve(tmp_path: Path):
    def draw(space):
        space.add_spline([(0, 0), (50, 30), (100, 0)])
        space.add_ellipse((0, 0), (100, 0), 0.5)

    spline, ellipse = read(drawn(tmp_path, draw)).lines
    assert len(spline.xy) > 10
    assert spline.xy[[0, -1]] == pytest.approx(np.array([[0.0, 0.0], [100.0, 0.0]]), abs=1e-9)
    assert ellipse.closed
    assert length(ellipse) == pytest.approx(484.422411, abs=0.1)  # 4 a E(0.75), a = 100 m, the complete integral


def test_an_entity_seen_from_below_lies_mirrored_where_it_belongs(tmp_path: Path):
    def draw(space):
        space.add_lwpolyline([(0, 0), (10, 0), (10, 20)], dxfattribs={"extrusion": (0, 0, -1)})

    (line,) = read(drawn(tmp_path, draw)).lines
    assert line.xy == pytest.approx(np.array([[0, 0], [-10, 0], [-10, 20]]), abs=1e-9)


def test_points_texts_and_inserts_are_points_and_blocks_are_told(tmp_path: Path):
    def draw(space):
        block = space.doc.blocks.new("TROUGH")
        block.add_line((0, 0), (1, 1))
        block.add_line((1, 1), (2, 2))
        space.add_point((1, 2, 3))
        space.add_text("GATE 3.6 m").set_placement((4, 5))
        space.add_mtext("creek\\Pcrossing").set_location((6, 7))
        space.add_blockref("TROUGH", (8, 9, 10))
        space.add_blockref("TROUGH", (8, 19))
        space.add_hatch()

    reading = read(drawn(tmp_path, draw))
    assert [(p.name, p.x, p.y, p.level_m, p.code, p.width_m) for p in reading.points] == [
        ("0 1", 1, 2, 3, "", None),
        ("GATE 3.6 m", 4, 5, None, "gate", 3.6),
        ("creek crossing", 6, 7, None, "crossing", None),
        ("TROUGH", 8, 9, 10, "", None),
        ("TROUGH", 8, 19, None, "", None),
    ]
    messages = [f.message for f in reading.troubles]
    assert rules(reading) == ["survey-60", "survey-60"]
    assert any("1 HATCH" in m for m in messages)
    assert any("block TROUGH stands 2 times" in m and "the 2 lines drawn in it" in m for m in messages)


@pytest.mark.rules(fires="survey-64")
def test_another_unit_is_asked_about_and_can_be_chosen(tmp_path: Path):
    path = drawn(tmp_path, lambda s: s.add_line((0, 0, 1000), (3000, 4000, 2000)), units=4)
    reading = read(path)
    assert rules(reading) == ["survey-64"]
    assert length(reading.lines[0]) == 5000
    chosen = read(path, columns={"unit": "mm"})
    assert chosen.troubles == ()
    assert length(chosen.lines[0]) == pytest.approx(5)
    assert chosen.lines[0].level_m is not None
    assert chosen.lines[0].level_m.tolist() == [1, 2]
    with pytest.raises(FileTrouble, match="no unit 'furlong'; use one of m, mm"):
        read(path, columns={"unit": "furlong"})


def test_lines_of_no_length_are_told(tmp_path: Path):
    reading = read(drawn(tmp_path, lambda s: (s.add_line((1, 1), (1, 1)), s.add_line((0, 0), (9, 9)))))
    assert len(reading.lines) == 1
    assert [(f.rule, f.place.row) for f in reading.troubles] == [("survey-41", 1)]


def test_an_empty_drawing_is_told(tmp_path: Path):
    assert rules(read(drawn(tmp_path, lambda s: None))) == ["survey-40"]


def test_a_damaged_drawing_is_mended_and_told(tmp_path: Path, capfd):
    path = drawn(tmp_path, lambda s: s.add_line((0, 0, 5.5), (30, 40, 6)))
    path.write_text(path.read_text().replace("\n40.0\n", "\n40.0x\n"))
    reading = read(path)
    assert reading.lines[0].xy.tolist() == [[0, 0], [30, 40]]
    assert rules(reading) == ["survey-55"]
    assert "guessed" in reading.troubles[0].message
    assert capfd.readouterr() == ("", "")


def test_words_named_dxf_are_refused(tmp_path: Path):
    path = tmp_path / "plan.dxf"
    path.write_text("no drawing at all\n")
    with pytest.raises(FileTrouble, match="no drawing that can be read"):
        read(path)
