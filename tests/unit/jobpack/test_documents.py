"""Quote, neighbour, grant and option sheets: what each must say, to the cent, and that nothing is cut off."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import numpy as np
import pytest
import shapely
import shapely.ops
from document_jobs import TODAY, all_prices, handed_over_job, handed_over_plan
from full_jobs import full_job
from page_checks import missing_letters, off_paper, overlaps, past_margin, texts, words
from sheet_jobs import LONG_NAME, many_corners_job, planned

from planner.job.job import Job
from planner.job.plan import JobPlan
from planner.job.quote_terms import Extra, QuoteTerms
from planner.jobpack.basis import Basis, basis_of
from planner.jobpack.documents import DOCUMENTS, document_pages
from planner.jobpack.grant_sheet import grant_figures, marked_points, photo_points
from planner.jobpack.neighbour_sheet import cost_splits
from planner.jobpack.page.form import SheetChoice
from planner.jobpack.quote_extras import quote_extras
from planner.jobpack.quote_sheet import TO_BE_AGREED
from planner.jobpack.stretches import stretches_beside
from planner.survey.features import Feature


@pytest.fixture(scope="module")
def plan() -> JobPlan:
    return handed_over_plan()


def basis(plan: JobPlan, units: str = "metric") -> Basis:
    return basis_of(plan, SheetChoice(units=units, dated=TODAY))  # type: ignore[arg-type]  # one of the two


def said(plan: JobPlan, file: str, units: str = "metric") -> str:
    document = next(d for d in DOCUMENTS if d.file == file)
    return words(document_pages(document, basis(plan, units)))


def money(plan: JobPlan) -> list[Decimal]:
    """Last figure of every row of the quote's table of what is built, sums left out."""
    document = next(d for d in DOCUMENTS if d.file == "quote.pdf")
    every = [text for page in document_pages(document, basis(plan)) for text in texts(page)]
    rows = [text for text in every if text.align == "right" and re.fullmatch(r"(from )?[\d\u202f]+\.\d\d", text.text)
            and text.size_pt == 7.6]
    right = max(text.x for text in rows)
    return [Decimal(text.text.replace("from ", "").replace("\u202f", "")) for text in rows if abs(text.x - right) < 0.1]


# every document, easy and hard


@pytest.mark.parametrize("units", ["metric", "imperial"])
@pytest.mark.parametrize("file", [document.file for document in DOCUMENTS])
def test_nothing_lies_on_another_or_off_the_paper(plan: JobPlan, file: str, units: str):
    document = next(d for d in DOCUMENTS if d.file == file)
    for page in document_pages(document, basis(plan, units)):
        assert overlaps(page) == []
        assert off_paper(page) == []
        assert past_margin(page) == []
        assert missing_letters(page) == set()


def test_a_quote_of_two_hundred_sections_breaks_over_pages():
    long = planned(many_corners_job(200))
    document = next(d for d in DOCUMENTS if d.file == "quote.pdf")
    pages = document_pages(document, basis(long))
    assert len(pages) > 8
    for page in pages:
        assert overlaps(page) == []
        assert off_paper(page) == []
    assert all(f" {section.id} " in words(pages) for section in long.lines[0].sections)


def test_documents_are_written_where_they_have_content(plan: JobPlan):
    assert [d.file for d in DOCUMENTS if d.has_content(plan)] == [
        "quote.pdf", "neighbour-sheet.pdf", "grant-sheet.pdf", "options.pdf"]
    bare = planned(many_corners_job(3))
    assert [d.file for d in DOCUMENTS if d.has_content(bare)] == ["quote.pdf"]
    assert "No fence line of this job runs beside a boundary" in said(bare, "neighbour-sheet.pdf")


# quote


@pytest.mark.parametrize("duty", ["services", "surveyor", "old fence", "wet weather", "access", "tax", "payment"])
def test_the_quote_omits_nothing_that_it_must_say(plan: JobPlan, duty: str):
    assert duty in said(plan, "quote.pdf").lower()


@pytest.mark.parametrize("part", [
    "Included", "Not included", "Rates for extras", "When the measured length differs", "Stands until 6 April 2026",
    "Strain: General boundary mesh", "Gate: Steel gate 4.2 m, hung", "Gate end:", "Junction:", "End:", "Corner",
    "Ground taken as: Ledge rock, posts drilled and grouted 300 to 520 m; else soil."])
def test_the_quote_holds_its_parts(plan: JobPlan, part: str):
    found = said(plan, "quote.pdf")
    assert part in found or (part == "Corner" and "corner" in found)


def test_lines_of_the_quote_add_up_to_its_price(plan: JobPlan):
    amounts = money(plan)
    whole = plan.estimate.subtotal + plan.estimate.mark_up
    assert sum(amounts) == 2 * whole, "each part once, and once more in the sum of its line"
    assert f"AUD {plan.estimate.total:,.2f}, tax included".replace(",", "", 1) in said(plan, "quote.pdf")


def test_mark_up_is_in_every_line_and_named_nowhere(plan: JobPlan):
    dear = handed_over_plan(replace(plan.job, terms=QuoteTerms(mark_up=Decimal("0.25"))))
    assert sum(money(dear)) == 2 * (dear.estimate.subtotal + dear.estimate.mark_up)
    assert dear.estimate.mark_up > 0
    assert "25 %" not in said(dear, "quote.pdf")


def test_a_missing_price_is_loud():
    job = handed_over_job()
    lacking = handed_over_plan(replace(job, prices=all_prices(job, without=("wire-tie", "labour"))))
    found = said(lacking, "quote.pdf")
    assert "INCOMPLETE, from AUD" in found
    assert "There is no price for: Tie for one wire on a steel post; labour." in found
    assert "Do not hand this over" in found
    assert " from " in found


def test_stale_prices_are_loud():
    job = handed_over_job()
    old = handed_over_plan(replace(job, prices=all_prices(job, dated=TODAY - timedelta(days=181))))
    assert "STALE PRICES, older than 180 days" in said(old, "quote.pdf")
    fresh = handed_over_plan(replace(job, prices=all_prices(job, dated=TODAY - timedelta(days=180))))
    assert "STALE" not in said(fresh, "quote.pdf")


def test_rates_for_extras_come_from_the_jobs_own_prices(plan: JobPlan):
    """A box end by hand: its parts at their prices and 62.50 an hour."""
    prices = {price.item: price.price / Decimal(repr(price.pack)) for price in plan.job.prices.prices.values()}
    kind = next(line.fence for line in plan.lines if line.fence.key == "general-mesh")
    box = plan.catalogue.assemblies[kind.ends.single]
    wanted = sum((prices[item] * Decimal(repr(quantity)) for item, quantity in box.parts), Decimal(0)) + (
        Decimal(repr(kind.labour.end)) * Decimal("62.50"))
    extra = next(e for e in quote_extras(plan) if e.what.startswith(f"Extra end: {box.description}"))
    assert extra.price == pytest.approx(wanted, abs=Decimal("0.01"))
    rock = next(e for e in quote_extras(plan) if e.what.startswith("Rock: line post"))
    hours = Decimal(repr(kind.labour.steel_post)) * 2
    assert rock.price == pytest.approx(hours * Decimal("62.50"), abs=Decimal("0.01")), "ledge is three times soil"
    assert next(e for e in quote_extras(plan) if e.what == "Person-hour").price == Decimal("62.50")


def test_without_prices_extras_are_to_be_agreed(plan: JobPlan):
    bare = replace(plan.job, prices=all_prices(plan.job, without=("labour",)))
    extras = quote_extras(handed_over_plan(bare))
    assert all(e.price is None for e in extras), "all of them hold hours"
    assert said(handed_over_plan(bare), "quote.pdf").count(TO_BE_AGREED) == len(extras)


def test_extras_of_the_terms_stand_at_their_own_rate(plan: JobPlan):
    terms = QuoteTerms(extras=(Extra("Clearing", "m", Decimal("4.80")), Extra("Rock drill", "h")))
    found = said(handed_over_plan(replace(plan.job, terms=terms)), "quote.pdf")
    assert "Clearing m 4.80" in found
    assert f"Rock drill h {TO_BE_AGREED}" in found


# neighbour


def test_the_neighbour_sheet_is_not_a_survey(plan: JobPlan):
    found = said(plan, "neighbour-sheet.pdf")
    assert "NOT A SURVEY" in found
    assert "Survey, if any" in found
    assert "Signed, neighbour" in found


def test_fence_against_boundary_and_the_land_between(plan: JobPlan):
    (stretch,) = stretches_beside(plan, ("boundary",), within_m=20.0)
    assert stretch.line.line.name == LONG_NAME
    assert stretch.ground(stretch.found.least_m) == pytest.approx(3.0, rel=0.01)
    assert stretch.ground_area(stretch.found.right_m2) == pytest.approx(3 * 1400, rel=0.01)
    found = said(plan, "neighbour-sheet.pdf")
    assert "3.00 3.00" in found or "2.99 3.00" in found


def test_a_fence_that_may_stand_on_either_side_is_told():
    job = handed_over_job()
    vague = handed_over_plan(replace(job, lines=(replace(job.lines[0], accuracy="handheld"), job.lines[1])))
    assert "on which side it stands cannot be told" in said(vague, "neighbour-sheet.pdf")
    assert "on which side it stands cannot be told" not in said(handed_over_plan(job), "neighbour-sheet.pdf")


def test_the_neighbour_pays_half_the_standard_and_nothing_of_the_upgrade(plan: JobPlan):
    stretches = stretches_beside(plan, ("boundary",), within_m=20.0)
    (split,) = cost_splits(plan, stretches)
    assert split.is_complete
    assert split.standard_name == plan.catalogue.fences["cattle-barbed-4"].name
    assert 0 < split.standard < split.planned
    assert split.neighbour == pytest.approx(split.standard / 2, abs=Decimal("0.01"))
    assert split.neighbour + split.owner == split.planned


def test_without_a_standard_the_planned_fence_is_it(plan: JobPlan):
    own = handed_over_plan(replace(plan.job, settings=plan.job.settings.changed({"standard_fence": ""})))
    (split,) = cost_splits(own, stretches_beside(own, ("boundary",), within_m=20.0))
    assert split.standard == split.planned


# grant


def test_banks_set_back_and_area(plan: JobPlan):
    (stretch,) = stretches_beside(plan, ("water",), within_m=60.0, parts_by_side=True)
    assert stretch.found.side == "right", "looking downstream, the way it is drawn"
    assert 35.0 < stretch.ground(stretch.found.least_m) < 36.0
    found = said(plan, "grant-sheet.pdf")
    assert "right bank" in found
    assert "Area excluded" in found
    assert "Work that starts before the approval" in found


def test_photo_points_look_along_the_fence_and_to_the_water(plan: JobPlan):
    points = photo_points(stretches_beside(plan, ("water",), within_m=60.0, parts_by_side=True))
    assert len({p.name for p in points}) == len(points) >= 6
    first = points[0]
    assert first.along_deg == pytest.approx(90.0, abs=0.1)
    assert first.water_deg == pytest.approx(0.0, abs=1.0) or first.water_deg == pytest.approx(360.0, abs=1.0)
    assert np.ptp([p.chainage_m for p in points]) == pytest.approx(1400, rel=0.01)


def test_marked_photo_points_say_where_they_look(plan: JobPlan):
    water = stretches_beside(plan, ("water",), within_m=60.0, parts_by_side=True)
    marked = (Feature("Crossing", "photo point", "POINT (455100 5951800)", (("bearing", "N 45 E"),)),
              Feature("Bend", "photo point", "POINT (455200 5951800)"))
    first, second = marked_points(water, marked)
    assert (first.name, first.along_deg, first.towards_deg) == ("Crossing", None, pytest.approx(45.0))
    assert second.towards_deg is None
    assert second.water_deg == pytest.approx(359.6, abs=0.1), "the creek climbs 5 m in 750"
    whole = planned(replace(plan.job, features=(*plan.job.features, *marked)))
    assert "Crossing marked" in said(whole, "grant-sheet.pdf")


@pytest.mark.parametrize(("facts", "base"), [
    ((("width", "8"),), "edge"), ((), "middle"), ((("part", "edge"), ("width", "8")), "edge"),
    ((("part", "bank top"), ("width", "8")), "bank top")])
def test_set_back_and_area_leave_half_a_marked_width_to_the_water(
        plan: JobPlan, facts: tuple[tuple[str, str], ...], base: str):
    creek = next(f for f in plan.job.features if f.meaning == "water")
    told = tuple(replace(f, attributes=facts) if f is creek else f for f in plan.job.features)
    job = replace(plan.job, features=told)
    half = 4.0 if facts == (("width", "8"),) else 0.0
    (stretch,) = stretches_beside(planned(job), ("water",), within_m=60.0, parts_by_side=True)
    fence, water = shapely.LineString(stretch.line.line.xy), shapely.from_wkt(creek.wkt)
    ends = [water.project(shapely.Point(xy)) for xy in (fence.coords[0], fence.coords[-1])]
    between = shapely.Polygon([*fence.coords, *shapely.ops.substring(water, *ends).reverse().coords])
    dry = between.difference(water.buffer(half)) if half else between
    found = grant_figures(stretch)
    assert found.counted_from == base
    assert found.least_m == pytest.approx(fence.distance(water) / stretch.scale - half, abs=0.01)
    assert found.excluded_m2 == pytest.approx(dry.area / stretch.scale**2, rel=0.002)


# options and stages


def test_options_and_stages_stand_side_by_side(plan: JobPlan):
    found = said(plan, "options.pdf")
    assert "mesh (chosen) barbed" in found
    assert "Least cost: barbed." in found
    assert "first year second year" in found
    assert "To build now for a later stage" in found
    assert "Not decided yet" in found


def test_a_job_without_either_says_so():
    bare = planned(Job("Bare", "EPSG:7855"))
    assert "no two options to set side by side, and no stages" in said(bare, "options.pdf")


def test_the_grant_sheet_does_not_deny_water_that_is_marked():
    plan = planned(full_job())
    assert any(feature.meaning == "water" for feature in plan.job.features)
    assert "runs along water that is marked in it (within 60 m)" in said(plan, "grant-sheet.pdf")


def test_the_neighbour_is_named_where_the_boundary_names_one_and_it_all_stands_on_one_page():
    plan = planned(full_job())
    document = next(d for d in DOCUMENTS if d.file == "neighbour-sheet.pdf")
    (page,) = document_pages(document, basis(plan))
    assert "Neighbour Estate of the late Margaret" in words((page,))
    assert "Signed, neighbour" in words((page,))
    assert not past_margin(page)
    assert not overlaps(page)


def test_a_sentence_keeps_figure_and_unit_together():
    plan = handed_over_plan()
    assert basis(plan).said("7.7 deg, 0.57 m over 6 deg") == "7.7°, 0.57\u00a0m over 6°"
    assert basis(plan).said("5 minutes in 3 males") == "5 minutes in 3 males"
