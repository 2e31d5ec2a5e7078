"""A boundary fence near Feilding, New Zealand: The Dominion (Wellington), 29 July 1939, DOM19390729.2.194.4.

Per chain of 20.1168 m: 5 posts, 30 battens, a strainer to ten chains, a gate to twenty; seven plain and two barbed
wires. 15 s posts, 8.5 s battens, 2 s strainers and gates, 10 s wire and staples, 9 s erection: 44.5 s, 178 pounds a
mile. Wire masses 98.65 kg/km (4 mm steel) and 105 kg/km (barbed: NZ Ministry of Agriculture and Fisheries, The Press,
1 June 1984); wire alone is then 28.5 cwt a mile, of the 32 1/4 to 32 1/2 cwt of wire and staples that are printed.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from unit.materials.works_of import BARB, CATALOGUE, PLAIN, fence_of, gate_of, work_of

from planner.materials.estimate import estimate
from planner.materials.prices import Price, PriceList
from planner.materials.takeoff import TakeoffRow, take_off
from planner.settings import Settings
from planner.spec.catalogue import Catalogue
from planner.spec.end_assemblies import EndAssembly
from planner.spec.items import Item
from planner.units import CHAIN_M, POUND_KG

CWT_KG = 112 * POUND_KG
NO_WASTE = Settings().changed({"waste_wire": 0.0, "waste_posts": 0.0, "waste_fixings": 0.0, "tax_rate": 0.0})


@pytest.fixture(scope="module")
def mile() -> dict[str, TakeoffRow]:
    wires = [replace(PLAIN, name=f"plain {k}", tail_m=0.0) for k in range(7)]
    wires += [replace(BARB, name=f"barb {k}", tail_m=0.0) for k in range(2)]
    fence = fence_of(*wires, droppers_per_panel=6, dropper_item="dropper")
    strainer = EndAssembly("box", "Strainer", "post", 0, 0.0, 0.0, (("strainer", 1.0),), (), 0.9)
    items = {**CATALOGUE.items, "plain": Item("plain", "Plain", "m", mass_kg=0.09865, stock_m=(253.0,)),
             "barb": Item("barb", "Barb", "m", mass_kg=0.105, stock_m=(500.0,))}
    works = []
    for k in range(8):  # ten chains a section, a strainer each
        works.append(work_of(f"A{k + 1}", 10 * CHAIN_M, fence, from_m=10 * CHAIN_M * k, steel=50, ends=1))
    works += [gate_of(f"G{k + 1}", fence) for k in range(4)]
    rows = take_off(works, catalogue=Catalogue({}, items, {"box": strainer}, CATALOGUE.grounds), settings=NO_WASTE,
                    roll_plans={})
    return {r.item: r for r in rows}


def test_a_mile_is_eighty_chains():
    assert pytest.approx(1609.344) == 80 * CHAIN_M


def test_posts_strainers_and_gates(mile):
    assert (mile["steel"].net, mile["strainer"].net, mile["gate-3600"].net) == (400, 8, 4)


def test_battens_are_six_to_a_panel(mile):
    # 30 battens and 5 posts to a chain. With the strainer one more, ten chains have 51 panels here, not 50.
    assert mile["dropper"].net == 8 * 51 * 6
    assert mile["dropper"].net * 50 / 51 == pytest.approx(2400)


def test_wire(mile):
    assert mile["plain"].net + mile["barb"].net == pytest.approx(14_480.0, abs=5.0)
    assert mile["plain"].net == pytest.approx(11_270.0, abs=5.0)
    mass = mile["plain"].net * 0.09865 + mile["barb"].net * 0.105
    assert mass / CWT_KG == pytest.approx(28.5, rel=0.02)
    assert mass / CWT_KG <= 32.5


def test_money():
    chain = (("posts", 5, "3"), ("battens", 30, "0.2833333"), ("strainers and gates", 1, "2"),
             ("wire and staples", 1, "10"), ("erection", 1, "9"))
    rows = [TakeoffRow(item, item, "each", n, 0.0, n, n, 1.0, n, 0.0, (("A1", n),), ("as printed",))
            for item, n in ((item, 80 * n) for item, n, _ in chain)]
    prices = PriceList({(item, 1.0): Price(item, "each", 1.0, Decimal(each), "printed", date(1939, 7, 29))
                        for item, _, each in chain})
    shillings = estimate(rows, [], prices, NO_WASTE).total
    assert shillings == Decimal("3560.00")  # 44.5 s x 80
    assert shillings / 20 == Decimal(178)
