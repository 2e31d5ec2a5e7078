"""The estimate shared out: every cent once, ends apart from their runs, nothing without a price hidden."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from unit.materials.test_estimate import list_of, price_of
from unit.materials.works_of import BARB, CATALOGUE, crossing_of, fence_of, gate_of, work_of

from planner.materials.breakdown import PartCost, break_down
from planner.materials.estimate import estimate
from planner.materials.labour import labour
from planner.materials.prices import PriceList
from planner.materials.section_work import SectionWork
from planner.materials.takeoff import take_off
from planner.settings import Settings

FENCE = fence_of(BARB)
WORKS = [work_of("A1", 300.0, FENCE, steel=50, timber=9, ends=2, directions=2), gate_of("A2", FENCE),
         crossing_of("A3", 36.0, FENCE)]


def all_prices(**without: bool) -> PriceList:
    units = {item.key: (item.unit, max((item.pack, *item.stock_m))) for item in CATALOGUE.items.values()}
    prices = [price_of(key, f"{7 + 3 * k}.37", unit=unit, pack=pack)
              for k, (key, (unit, pack)) in enumerate(units.items()) if key not in without]
    return list_of(*prices, *([] if "labour" in without else [price_of("labour", "61.35", unit="h")]))


def parts_of(works: list[SectionWork], prices: PriceList, *, mark_up: str = "0",
             rates: dict[str, Decimal] | None = None) -> tuple[tuple[PartCost, ...], Decimal]:
    rows = take_off(works, catalogue=CATALOGUE, settings=Settings(), roll_plans={})
    hours = labour(works, catalogue=CATALOGUE, rolls={})
    cost = estimate(rows, hours, prices, Settings(), mark_up=Decimal(mark_up), rates=rates or {})
    return break_down(works, rows, cost, catalogue=CATALOGUE, rolls={}), cost.subtotal + cost.mark_up


def test_parts_add_up_to_the_cent():
    parts, total = parts_of(WORKS, all_prices(), mark_up="0.175")
    assert sum(part.amount for part in parts) == total > 0
    assert all(part.amount == part.amount.quantize(Decimal("0.01")) for part in parts)


def test_each_run_end_gate_and_crossing_is_a_part():
    parts, _ = parts_of(WORKS, all_prices())
    kinds = [(part.kind, part.section) for part in parts]
    ends = sum(len(work.assemblies) for work in WORKS)
    assert [k for k in kinds if k[0] != "end"] == [("run", "A1"), ("gate", "A2"), ("crossing", "A3")]
    assert sum(kind == "end" for kind, _ in kinds) == ends


def test_an_end_is_its_parts_and_its_hours():
    """One box end alone on a bare line, by hand: 49 + 27.6 is mass, not money; strainer, brace post, rail, wire."""
    parts, _ = parts_of([work_of("A1", 100.0, FENCE, ends=1)], all_prices())
    (end,) = [part for part in parts if part.kind == "end"]
    prices = {p.item: p for p in all_prices().prices.values()}
    wire = prices["brace-wire"].price  # one coil of 50 m for 12 m, the rest wasted on the only end there is
    by_hand = prices["strainer"].price + prices["brace-post"].price + prices["stay-rail"].price + wire + (
        Decimal("3.5") * prices["labour"].price)
    assert end.amount == pytest.approx(by_hand, abs=Decimal("0.02"))
    assert end.hours == pytest.approx(3.5)


def test_hours_add_up_to_the_labour():
    parts, _ = parts_of(WORKS, all_prices())
    assert sum(part.hours for part in parts) == pytest.approx(
        sum(row.hours for row in labour(WORKS, catalogue=CATALOGUE, rolls={})))


def test_a_missing_price_is_told_where_it_is_missing_and_nowhere_else():
    parts, _ = parts_of(WORKS, all_prices(strainer=True))
    assert {part.kind for part in parts if "strainer" in part.missing} == {"end"}
    assert all(part.missing in ((), ("strainer",)) for part in parts)
    parts, _ = parts_of(WORKS, all_prices(labour=True))
    assert all("labour" in part.missing for part in parts)


def test_a_rate_of_its_own_falls_on_its_component():
    plain, _ = parts_of(WORKS, all_prices())
    dear, _ = parts_of(WORKS, all_prices(), rates={"gates": Decimal("1000")})
    more = {a.kind: b.amount - a.amount for a, b in zip(plain, dear, strict=True)}
    assert more["gate"] == pytest.approx(3 * (1000 - Decimal("61.35")), abs=Decimal("0.02"))
    assert all(abs(change) <= Decimal("0.02") for kind, change in more.items() if kind != "gate")


def test_nothing_priced_is_nothing_shared():
    parts, total = parts_of(WORKS, PriceList())
    assert total == 0
    assert all(part.amount == 0 and part.missing for part in parts)


@settings(max_examples=40)
@given(st.lists(st.floats(20.0, 900.0), min_size=1, max_size=12), st.decimals("0", "2", places=3),
       st.decimals("0.01", "999", places=2))
def test_every_cent_once_whatever_the_lengths(lengths: list[float], mark_up: Decimal, price: Decimal):
    works = [work_of(f"A{k + 1}", length, FENCE, steel=int(length / 5), ends=1 + k % 2)
             for k, length in enumerate(lengths)]
    some = {key: replace(p, price=price) if p.item == "barb" else p for key, p in all_prices().prices.items()}
    parts, total = parts_of(works, PriceList(some), mark_up=str(mark_up))
    assert sum(part.amount for part in parts) == total


