"""Checks of the order: each rule once kept and once broken."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from unit.materials.works_of import APRON, BARB, CATALOGUE, ITEMS, MESH, fence_of, work_of

from planner.findings import Finding
from planner.materials.checks import RULES, check_materials
from planner.materials.estimate import estimate
from planner.materials.labour import labour
from planner.materials.prices import Price, PriceList
from planner.materials.roll_plan import plan_rolls, settle_joins
from planner.materials.section_work import SectionWork
from planner.materials.takeoff import roll_demands, take_off
from planner.settings import Settings
from planner.spec.catalogue import Catalogue

LOOSE = Settings().changed({"waste_wire": 0.0, "waste_mesh": 0.0})


def check(*works: SectionWork, settings: Settings = LOOSE, prices: PriceList | None = None, today: date | None = None,
          allowed: dict[str, tuple[float, ...]] | None = None, catalogue: Catalogue = CATALOGUE) -> list[Finding]:
    wanted = roll_demands(works, catalogue=catalogue, settings=settings, allowed=allowed or {})
    plans = {item: settle_joins(plan_rolls(
        demands, item=item, stock={a: a for a in ITEMS[item].stock_m}, join_cost=4.0, min_useful_m=10.0,
        joins_allowed=settings.roll_joins_allowed, seconds=1.0, offcut_cost_per_m=1.0), demands)
        for item, demands in wanted.items()}
    rows = take_off(works, catalogue=catalogue, settings=settings, roll_plans=plans)
    cost = None
    if prices is not None:
        cost = estimate(rows, labour(works, catalogue=catalogue, rolls=plans), prices, settings, today=today)
    return list(check_materials(works, rows, catalogue=catalogue, settings=settings, roll_plans=plans, prices=prices,
                                cost=cost))


def found(findings: list[Finding], rule: str) -> list[Finding]:
    assert rule in RULES
    return [f for f in findings if f.rule == rule]


@pytest.mark.rules(fires="materials-01")
def test_a_margin_below_the_uncertainty_of_the_length_asks_for_one_more_roll():
    # 7 rolls leave 4 m, and the length is known to 6 m at the chance chosen
    work = work_of("A1", 1396.0 - 0.6, fence_of(mesh=MESH), sd_m=6.0 / 1.2816)
    (finding,) = found(check(work), "materials-01")
    assert "7 rolls leave 4 m over the net length" in finding.message
    assert "takes 1600 m" in finding.message
    assert finding.remedy.startswith("Order 8 rolls")


@pytest.mark.rules(limit="materials-01")
@pytest.mark.parametrize(("known_m", "unsure"), [(3.99, False), (4.01, True)])
def test_the_length_is_unsure_above_what_is_left(known_m: float, unsure: bool):
    """7 rolls leave 4 m, which is little either way: what is said of it is another thing."""
    (finding,) = found(check(work_of("A1", 1396.0 - 0.6, fence_of(mesh=MESH), sd_m=known_m / 1.2816)), "materials-01")
    assert ("the length is not known that well" in finding.message) == unsure


@pytest.mark.rules(silent="materials-01")
def test_a_margin_above_it_is_enough():
    assert not found(check(work_of("A1", 1350.0, fence_of(mesh=MESH), sd_m=6.0 / 1.2816)), "materials-01")


def test_a_margin_of_a_few_per_cent_is_told_even_for_lengths_known_well():
    # four barbed wires on both sides of a creek: 5 coils of 500 m leave 60 m
    fence = fence_of(*(replace(BARB, name=f"barb {k}", height_m=k / 4) for k in range(1, 5)))
    (finding,) = found(check(work_of("A1", 304.0, fence), work_of("A2", 300.0, fence, from_m=340.0)), "materials-01")
    assert "5 rolls leave only 60 m, 2.5% of the net length" in finding.message


@pytest.mark.rules(limit="materials-01")
@pytest.mark.parametrize(("net", "rule"), [(7801.0, "materials-01"), (7800.0, ""), (7799.0, "")])
def test_a_whole_roll_left_over_is_enough_on_a_long_line(net: float, rule: str):
    # with 2.5 % of waste it takes 40 rolls of 200 m, and what they leave over the net length is under 3 % each time
    works = [work_of(f"A{k}", net / 26 - 0.6, fence_of(mesh=MESH), from_m=300.0 * k) for k in range(26)]
    assert bool(found(check(*works, settings=Settings().changed({"waste_mesh": 0.025})), "materials-01")) == bool(rule)


@pytest.mark.rules(fires="materials-02")
def test_a_plan_length_of_just_seven_rolls_is_a_trap():
    parts = (262.0, 263.1, 313.4, 292.6, 280.9)
    flat = (260.0, 260.0, 310.0, 290.0, 280.0)
    works = [work_of(f"A{k + 1}", along, fence_of(mesh=MESH), plan_m=plan, from_m=sum(flat[:k]))
             for k, (along, plan) in enumerate(zip(parts, flat, strict=True))]
    (finding,) = found(check(*works), "materials-02")
    assert finding.severity == "note"  # what is ordered is right: it warns who counts by the map
    assert "by the map's 1400 m 7 rolls of 200 m look enough" in finding.message
    assert "it is 1415 m: short by 15 m on 7" in finding.message
    assert finding.remedy == "Order by the roll plan, not by metres off the map."


@pytest.mark.rules(limit="materials-02")
@pytest.mark.parametrize(("along", "rule"), [(200.0, ""), (200.01, "materials-02")])
def test_only_the_slope_makes_the_trap_and_tails_do_not(along: float, rule: str):
    assert bool(found(check(work_of("A1", along, fence_of(mesh=MESH), plan_m=199.0)), "materials-02")) == bool(rule)


@pytest.mark.rules(silent="materials-02")
def test_a_plan_length_that_takes_as_many_rolls_is_none():
    assert not found(check(work_of("A1", 395.0, fence_of(mesh=MESH), plan_m=390.0)), "materials-02")


@pytest.mark.rules(fires="materials-03", silent="materials-03", limit="materials-03")
def test_a_roll_join_out_of_place_names_section_and_chainage():
    work = work_of("A1", 399.4, fence_of(mesh=MESH), from_m=1000.0)
    (finding,) = found(check(work, allowed={"A1": (1150.0,)}), "materials-03")
    assert finding.place.section == "A1"
    assert finding.message.startswith("Mesh 8/90/30: 1 roll join not at mid-panel")
    assert finding.place.chainage_m is not None
    assert 1190.0 < finding.place.chainage_m < 1210.0
    for allowed, told in ((1199.69, 1), (1199.7, 0), (1199.71, 1)):  # 200 m of roll less 0.3 m of tail
        assert len(found(check(work, allowed={"A1": (allowed,)}), "materials-03")) == told


def price_of(item: str, unit: str, pack: float, dated: date = date(2026, 7, 1)) -> Price:
    return Price(item, unit, pack, Decimal("5.00"), "store", dated)


def prices_of(*prices: Price) -> PriceList:
    return PriceList({(p.item, p.pack): p for p in prices})


@pytest.mark.rules(fires="materials-04 materials-05 materials-06")
def test_missing_stale_and_mismatched_prices_are_told():
    work = work_of("A1", 100.0, fence_of(BARB), steel=9)
    old = price_of("steel", "each", 10.0, date(2025, 1, 1))
    prices = prices_of(old, price_of("barb", "kg", 25.0), price_of("tie", "each", 100.0))
    findings = check(work, prices=prices, today=date(2026, 7, 2))
    (missing,) = found(findings, "materials-04")
    assert "There is no price for Barbed wire; labour: the total is incomplete." in missing.message
    (stale,) = found(findings, "materials-05")
    assert stale.message == "Prices older than 180 days: Steel star post 1.65 m."
    (mismatch,) = found(findings, "materials-06")
    assert "priced by kg but counted in m" in mismatch.message


def test_no_price_list_at_all_is_a_short_note():
    (finding,) = found(check(work_of("A1", 100.0, fence_of(BARB)), prices=PriceList()), "materials-04")
    assert (finding.severity, finding.message) == ("note", "No price list was read in, so that nothing is priced.")


@pytest.mark.rules(limit="materials-05")
@pytest.mark.parametrize(("days", "rule"), [(179, ""), (180, ""), (181, "materials-05")])
def test_prices_are_stale_after_their_days(days: int, rule: str):
    prices = prices_of(price_of("steel", "each", 10.0, date(2026, 7, 2) - timedelta(days=days)))
    work = work_of("A1", 100.0, fence_of(BARB), steel=9)
    assert bool(found(check(work, prices=prices, today=date(2026, 7, 2)), "materials-05")) == bool(rule)


@pytest.mark.rules(silent="materials-04 materials-05 materials-06")
def test_a_full_fresh_price_list_says_nothing():
    work = work_of("A1", 100.0, fence_of(BARB), steel=9)
    prices = prices_of(price_of("steel", "each", 10.0), price_of("barb", "m", 500.0), price_of("tie", "each", 100.0),
                       price_of("labour", "h", 1.0))
    findings = check(work, prices=prices, today=date(2026, 7, 2))
    assert not [f for f in findings if f.rule in ("materials-04", "materials-05", "materials-06")]


@pytest.mark.rules(fires="materials-07", silent="materials-07")
def test_an_unknown_mass_is_told_once():
    (finding,) = found(check(work_of("A1", 100.0, fence_of(BARB, nettings=(APRON,)))), "materials-07")
    assert finding.message.startswith("The mass is not known of: Netting 300 mm.")
    assert not found(check(work_of("A1", 100.0, fence_of(BARB))), "materials-07")


@pytest.mark.rules(fires="materials-08", silent="materials-08", limit="materials-08")
def test_mesh_without_a_fixing_on_one_kind_of_post_is_an_error():
    bare = fence_of(mesh=replace(MESH, staples_per_timber_post=0))
    (finding,) = found(check(work_of("A1", 100.0, bare, timber=3), work_of("A2", 90.0, bare, timber=3)), "materials-08")
    assert finding.message == "The mesh of 'test fence' has no fixing on its timber posts."
    assert not found(check(work_of("A1", 100.0, bare, steel=3)), "materials-08")
    one = fence_of(mesh=replace(MESH, staples_per_timber_post=1))
    assert not found(check(work_of("A1", 100.0, one, timber=3)), "materials-08")


@pytest.mark.rules(fires="materials-09", silent="materials-09", limit="materials-09")
def test_a_roll_heavier_than_the_payload_is_an_error():
    work = work_of("A1", 100.0, fence_of(mesh=MESH))
    (finding,) = found(check(work, settings=LOOSE.changed({"trailer_payload_kg": 84.0})), "materials-09")
    assert finding.message == "One piece of Mesh 8/90/30 weighs 85 kg, more than the trailer's 84 kg."
    for payload, told in ((84.79, 1), (84.8, 0), (84.81, 0)):
        assert len(found(check(work, settings=LOOSE.changed({"trailer_payload_kg": payload})), "materials-09")) == told


@pytest.mark.rules(fires="materials-10", silent="materials-10")
def test_joins_that_cannot_be_avoided_are_told_where_none_are_allowed():
    work = work_of("A1", 450.0, fence_of(mesh=MESH))
    (finding,) = found(check(work, settings=LOOSE.changed({"roll_joins_allowed": False})), "materials-10")
    assert "Mesh 8/90/30 needs 2 joins" in finding.message
    assert not found(check(work), "materials-10")


@pytest.mark.rules(limit="materials-10")
@pytest.mark.parametrize(("length", "rule"), [(199.4, ""), (199.41, "materials-10")])
def test_a_section_of_one_roll_with_its_tails_needs_no_join(length: float, rule: str):
    work, settings = work_of("A1", length, fence_of(mesh=MESH)), LOOSE.changed({"roll_joins_allowed": False})
    assert bool(found(check(work, settings=settings), "materials-10")) == bool(rule)
