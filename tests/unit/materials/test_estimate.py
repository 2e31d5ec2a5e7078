"""Estimate: exact to the cent, and never a zero for a missing price."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from planner.materials.estimate import estimate
from planner.materials.labour import LabourRow
from planner.materials.prices import Price, PriceList
from planner.materials.takeoff import TakeoffRow
from planner.settings import Settings


def row_of(item: str, order: float, *, unit: str = "each", pack: float = 1.0,
           lots: tuple[tuple[float, int], ...] = ()) -> TakeoffRow:
    packs = round(order / pack) if not lots else sum(n for _, n in lots)
    return TakeoffRow(item, item.title(), unit, order, 0.0, order, order, pack, packs, 0.0, (("A1", order),), ("rule",),
                      lots)


def price_of(item: str, amount: str, *, unit: str = "each", pack: float = 1.0, tax_class: str = "standard",
             dated: date = date(2026, 7, 1)) -> Price:
    return Price(item, unit, pack, Decimal(amount), "store", dated, tax_class)


def list_of(*prices: Price) -> PriceList:
    return PriceList({(p.item, p.pack): p for p in prices})


def test_amounts_subtotal_tax_and_total_are_exact():
    prices = list_of(price_of("post", "0.10"), price_of("gate", "0.20"))
    cost = estimate([row_of("post", 3), row_of("gate", 1)], [], prices, Settings().changed({"tax_rate": 0.1}))
    assert [c.amount for c in cost.rows] == [Decimal("0.30"), Decimal("0.20")]
    assert (cost.subtotal, cost.tax, cost.total) == (Decimal("0.50"), Decimal("0.05"), Decimal("0.55"))
    assert cost.complete


def test_half_a_cent_goes_up():
    cost = estimate([row_of("ring", 5)], [], list_of(price_of("ring", "0.001")), Settings())
    assert cost.subtotal == Decimal("0.01")
    cost = estimate([row_of("ring", 1)], [], list_of(price_of("ring", "0.25")), Settings().changed({"tax_rate": 0.1}))
    assert cost.tax == Decimal("0.03")


def test_a_missing_price_is_no_zero_and_the_total_says_incomplete():
    cost = estimate([row_of("post", 3), row_of("gate", 1)], [], list_of(price_of("post", "5.00")), Settings())
    gate = cost.rows[1]
    assert (gate.each, gate.amount, gate.supplier, gate.dated) == (None, None, "", "")
    assert (cost.complete, cost.missing, cost.subtotal) == (False, ("gate",), Decimal("15.00"))


def test_roll_goods_are_priced_by_roll_length():
    row = row_of("mesh", 500.0, unit="m", pack=200.0, lots=((200.0, 2), (100.0, 1)))
    cost = estimate([row], [], list_of(price_of("mesh", "360.00", unit="m", pack=200.0),
                                       price_of("mesh", "190.00", unit="m", pack=100.0)), Settings())
    assert [(c.quantity, c.unit, c.amount) for c in cost.rows] == [
        (Decimal(2), "roll of 200 m", Decimal("720.00")), (Decimal(1), "roll of 100 m", Decimal("190.00"))]


def test_one_roll_length_without_a_price_makes_it_incomplete():
    row = row_of("mesh", 300.0, unit="m", pack=200.0, lots=((200.0, 1), (100.0, 1)))
    cost = estimate([row], [], list_of(price_of("mesh", "360.00", unit="m", pack=200.0)), Settings())
    assert (cost.complete, cost.missing, cost.subtotal) == (False, ("mesh",), Decimal("360.00"))


def test_a_price_by_the_metre_prices_a_roll():
    row = row_of("mesh", 400.0, unit="m", pack=200.0, lots=((200.0, 2),))
    cost = estimate([row], [], list_of(price_of("mesh", "1.85", unit="m")), Settings())
    assert (cost.rows[0].quantity, cost.rows[0].amount) == (Decimal(400), Decimal("740.00"))


def test_labour_is_an_item_of_its_own_and_may_be_free_of_tax():
    work = [LabourRow("posts", 100, "each", 0.075, 1.0, 7.5), LabourRow("ends", 2, "each", 3.5, 1.0, 7.0)]
    cost = estimate([row_of("post", 1)], work, list_of(price_of("post", "10.00"), price_of(
        "labour", "40.00", unit="h", tax_class="free")), Settings().changed({"tax_rate": 0.1}))
    assert cost.rows[-1].quantity == Decimal("14.50")
    assert (cost.subtotal, cost.tax) == (Decimal("590.00"), Decimal("1.00"))


def test_labour_without_a_price_is_missing():
    cost = estimate([], [LabourRow("posts", 1, "each", 1.0, 1.0, 1.0)], PriceList(), Settings())
    assert (cost.missing, cost.total) == (("labour",), Decimal("0.00"))


def test_nothing_to_buy_costs_nothing_and_is_complete():
    cost = estimate([], [], PriceList(), Settings())
    assert (cost.total, cost.complete, cost.currency) == (Decimal("0.00"), True, "AUD")


def test_a_price_is_stale_from_the_day_after_the_limit():
    prices = list_of(price_of("post", "5.00", dated=date(2026, 1, 1)))
    settings = Settings().changed({"price_stale_days": 30})
    assert estimate([row_of("post", 1)], [], prices, settings, today=date(2026, 1, 31)).stale == ()
    assert estimate([row_of("post", 1)], [], prices, settings, today=date(2026, 2, 1)).stale == ("post",)
    assert estimate([row_of("post", 1)], [], prices, settings).stale == ()


def labour_of(work: str, hours: float) -> LabourRow:
    return LabourRow(work, hours, "h", 1.0, 1.0, hours, work)


def test_mark_up_stands_between_subtotal_and_tax():
    prices = list_of(price_of("post", "100"), price_of("gate", "50", tax_class="free"))
    cost = estimate([row_of("post", 1), row_of("gate", 1)], [], prices, Settings().changed({"tax_rate": 0.1}),
                    mark_up=Decimal("0.2"))
    assert (cost.subtotal, cost.mark_up) == (Decimal("150.00"), Decimal("30.00"))
    assert cost.tax == Decimal("12.00"), "on 100 and its 20 of mark-up, not on what is free"
    assert cost.total == Decimal("192.00")


def test_a_component_with_a_rate_of_its_own_is_a_row_of_its_own():
    prices = list_of(price_of("labour", "60", unit="h"))
    cost = estimate([], [labour_of("mesh", 10.0), labour_of("wire", 5.0), labour_of("gates", 1.5)], prices, Settings(),
                    rates={"mesh": Decimal("80"), "netting": Decimal("1")})
    assert [(c.description, c.quantity, c.amount) for c in cost.rows] == [
        ("Labour, person-hours", Decimal("6.50"), Decimal("390.00")),
        ("Labour, mesh", Decimal("10.00"), Decimal("800.00"))]
    assert cost.rows[1].dated == "", "a rate of the quote terms has no date"


def test_rates_for_every_component_need_no_price_of_labour():
    cost = estimate([], [labour_of("mesh", 10.0)], PriceList(), Settings(), rates={"mesh": Decimal("80")},
                    today=date(2030, 1, 1))
    assert cost.complete
    assert cost.stale == (), "never stale"
    assert not estimate([], [labour_of("wire", 1.0)], PriceList(), Settings(), rates={"mesh": Decimal("80")}).complete
