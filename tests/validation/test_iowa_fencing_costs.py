"""W. Edwards, Iowa State University Extension: estimated costs for livestock fencing.

Woven wire, 1 320 ft straight, posts 12 ft apart, one barbed strand on top, two 8 in posts and one cross-brace at each
end, steel posts in turn with 4 in timber ones. Quantities and prices as printed in agriculture.com, "What will a new
fence cost this year?", 29 February 2012 (printed total 2,553.31; its lines add up to 2,553.30). Cost of ownership from
table 6 of an earlier edition of the same bulletin; its first costs are not printed there but follow from depreciation
and maintenance (the electric fence's, 920-925, only roughly; its printed parts sum to 120, its total says 121).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest
from unit.materials.works_of import BARB, CATALOGUE, fence_of, work_of

from planner.alignment.line import FenceLine
from planner.files.readers.price_list import read_price_list
from planner.job.derive import plan_job
from planner.job.job import Job
from planner.jobpack.basis import basis_of
from planner.jobpack.page.form import SheetChoice
from planner.jobpack.page.records import texts_of
from planner.jobpack.quote_sheet import quote_pages
from planner.materials.breakdown import break_down
from planner.materials.estimate import estimate
from planner.materials.labour import LabourRow
from planner.materials.ownership import annual_cost
from planner.materials.takeoff import TakeoffRow, take_off
from planner.sections.posts import line_post_places
from planner.settings import Settings
from planner.spec.catalogue import Catalogue
from planner.spec.end_assemblies import EndAssembly
from planner.spec.items import Item
from planner.units import FOOT_M

LINES = (  # item, quantity, unit, unit price, line total
    ("wood-post-8in", 4, "each", "28.00", "112.00"),
    ("wood-post-4in", 57, "each", "9.00", "513.00"),
    ("steel-post-6.5ft", 55, "each", "5.00", "275.00"),
    ("staples-and-clips", 10, "lb", "1.80", "18.00"),
    ("barbed-wire", 1320, "ft", "0.06", "79.20"),
    ("woven-wire", 1320, "ft", "0.70", "924.00"),
)
LABOUR_LINE = ("labour", 42, "h", "15.05", "632.10")


def test_the_bill_comes_to_the_cent_from_a_price_list(tmp_path: Path):
    path = tmp_path / "iowa.csv"
    rows = "".join(f"{item},{unit},1,${price},Iowa,2012-02-29,\n" for item, _, unit, price, _ in LINES)
    rows += "labour,h,1,$15.05,Iowa,2012-02-29,free\n"
    path.write_text("item,unit,pack,price,supplier,date,tax class\n" + rows)
    prices, findings = read_price_list(path, {item: Item(item, item, unit) for item, _, unit, _, _ in LINES})
    assert findings == ()
    bill = [TakeoffRow(item, item, unit, n, 0.0, n, n, 1.0, n, 0.0, (("A1", n),), ("as printed",))
            for item, n, unit, _, _ in LINES]
    cost = estimate(bill, [LabourRow("all work", 42, "h", 1.0, 1.0, 42.0)], prices,
                    Settings().changed({"tax_rate": 0.0, "currency": "USD"}))
    assert [c.amount for c in cost.rows] == [*(Decimal(total) for *_, total in LINES), Decimal("632.10")]
    assert cost.total == Decimal("2553.30")
    assert cost.complete
    assert 0.247 < float(cost.rows[-1].amount / cost.total) < 0.249  # labour, 24.8 % of the cost


def test_the_quote_comes_to_the_same_cent(tmp_path: Path):
    """From the price list through the estimate to the quote: run and ends as lines that add up to the printed bill."""
    path = tmp_path / "iowa.csv"
    path.write_text("item,unit,pack,price,supplier,date,tax class\n" + "".join(
        f"{item},{unit},1,${price},Iowa,2012-02-29,free\n" for item, _, unit, price, _ in (*LINES, LABOUR_LINE)))
    prices, findings = read_price_list(path, {item: Item(item, item, unit) for item, _, unit, _, _ in LINES})
    assert findings == ()
    box = EndAssembly("box", "Two posts and a rail", "box", 1, 1.0, 2.4,
                      (("wood-post-8in", 2.0), ("wood-post-4in", 1.0)), (), 1.0)
    settings = Settings().changed({"tax_rate": 0.0, "currency": "USD", "price_stale_days": 3650})
    east, north = 455_000.0, 5_951_800.0
    line = FenceLine("Iowa", "cattle-barbed-4", np.array([(east, north), (east + 1320 * FOOT_M, north)]))
    plan = plan_job(Job("Iowa", "EPSG:7855", lines=(line,), settings=settings, prices=prices))
    work = work_of("A1", 1320 * FOOT_M, fence_of(BARB), ends=2)
    bill = tuple(TakeoffRow(item, item, unit, n, 0.0, n, n, 1.0, n, 0.0, (("A1", n),), ("as printed",))
                 for item, n, unit, _, _ in LINES)
    hours = (LabourRow("all work", 42, "h", 1.0, 1.0, 42.0, "wire"),)
    cost = estimate(bill, hours, prices, settings)
    priced = replace(plan, materials=bill, labour=hours, estimate=cost, roll_plans={}, lines=(replace(
        plan.lines[0], works=(replace(work, line="Iowa"),)),),
        catalogue=replace(plan.catalogue, assemblies={**plan.catalogue.assemblies, "box": box}))
    parts = break_down(priced.lines[0].works, bill, cost, catalogue=priced.catalogue, rolls={})
    assert sum(part.amount for part in parts) == cost.total == Decimal("2553.30")
    pages = quote_pages(basis_of(priced, SheetChoice(dated=date(2012, 3, 1))))
    words = [text for page in pages for text in texts_of(page)]
    assert "USD\u00a02\u202f553.30, tax included" in words
    assert "INCOMPLETE" not in " ".join(words)
    assert [w for w in words if w == "2\u202f553.30"] == ["2\u202f553.30"], "the sum of the line"


def test_quantities_follow_from_the_layout():
    length = 1320 * FOOT_M
    places = line_post_places(np.array([0.0, length]), np.array([False, False]), spacing_m=12 * FOOT_M,
                              uneven_m=12 * FOOT_M)
    # 110 panels have 109 posts between the ends; the bulletin counts 1 320 / 12 = 110
    assert abs(len(places) - 110) <= 2
    box = EndAssembly("box", "Two posts and a rail", "box", 1, 1.0, 2.4, (("strainer", 2.0), ("timber", 1.0)), (), 1.0)
    work = work_of("A1", length, fence_of(BARB), steel=55, timber=55, ends=2)
    catalogue = Catalogue({}, CATALOGUE.items, {"box": box}, CATALOGUE.grounds)
    rows = {r.item: r for r in take_off([work], catalogue=catalogue, settings=Settings(), roll_plans={})}
    assert rows["strainer"].net == 4
    assert rows["timber"].net == 57  # 55 posts and two cross-braces
    assert rows["steel"].net == 55


@pytest.mark.parametrize(("first_cost", "life", "maintenance", "printed"), [
    ("1987", 20, 0.08, (99, 79, 159, 338)), ("1612", 20, 0.08, (81, 65, 129, 274)),
    ("1480", 25, 0.05, (59, 59, 74, 193)),
    ("925", 25, 0.05, (37, 37, 46, 121))])
def test_a_year_of_ownership_comes_within_a_dollar(first_cost, life, maintenance, printed):
    year = annual_cost(Decimal(first_cost), life_years=life, maintenance_rate=maintenance, interest_rate=0.08)
    for value, figure in zip((year.depreciation, year.interest, year.maintenance, year.total), printed, strict=True):
        assert abs(float(value) - figure) <= 1.0
