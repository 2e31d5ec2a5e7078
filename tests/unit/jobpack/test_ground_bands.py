"""Ground classes on the drawings: named in the long section and beside the line on the map."""

from __future__ import annotations

from dataclasses import replace

import shapely

from planner.job.derive import plan_job
from planner.jobpack.basis import Basis, basis_of
from planner.jobpack.ground_bands import BAND_FILL, ground_bands
from planner.jobpack.long_section import long_section_pages
from planner.jobpack.page.records import Area, Mark, Stroke, Text, Window
from planner.jobpack.plan_sheets import plan_pages
from planner.survey.features import Feature
from tests.plain_jobs import EAST, NORTH, straight_job


def basis(*, rocky: bool) -> Basis:
    tor = Feature("Tor", "ground", shapely.box(EAST + 100, NORTH - 5, EAST + 200, NORTH + 5).wkt, (("class", "ledge"),))
    return basis_of(plan_job(replace(straight_job(), features=(tor,) if rocky else ())))


def marks(pages: tuple) -> list[Mark]:
    """Every mark of some pages, those in windows too."""
    found: list[Mark] = [mark for page in pages for mark in page.marks]
    return found + [inner for mark in found if isinstance(mark, Window) for inner in mark.marks]


def texts(found: list[Mark]) -> set[str]:
    return {mark.text for mark in found if isinstance(mark, Text)}


def test_a_band_runs_where_the_area_covers_the_line():
    plan = basis(rocky=True).plan
    (band,) = ground_bands(plan.lines[0], plan.catalogue.grounds)
    east, _ = plan.lines[0].ground.place_at(band.to_m)
    assert abs(float(east) - (EAST + 200)) < 1e-6
    assert band.names == ("Ledge rock, posts drilled and grouted", "ledge")


def test_the_long_section_tones_and_names_it_and_says_nothing_without():
    for rocky in (True, False):
        found = marks(long_section_pages(basis(rocky=rocky)))
        assert any(isinstance(m, Area) and m.fill == BAND_FILL for m in found) is rocky
        assert ("Ledge rock, posts drilled and grouted" in texts(found)) is rocky


def test_the_plan_tones_it_beside_the_line_and_its_legend_says_so():
    for rocky in (True, False):
        found = marks(plan_pages(basis(rocky=rocky)))
        assert any(isinstance(m, Stroke) and m.colour == BAND_FILL for m in found) is rocky
        assert ("ledge" in texts(found)) is rocky
        assert any("ground class" in text for text in texts(found)) is rocky
