"""Price lists: good rows kept, every other one told with its number."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from planner.errors import FileTrouble, PriceTrouble
from planner.files.readers.price_list import RULES, read_price_list
from planner.findings import Finding
from planner.materials.prices import PriceList
from planner.spec.items import Item

ITEMS = {item.key: item for item in (
    Item("post", "Post", "each", pack=10), Item("mesh", "Mesh", "m", stock_m=(200.0, 100.0)),
    Item("staple", "Staples", "kg", pack=5))}
HEAD = "item,unit,pack,price,supplier,date,tax class\n"


def read(folder: Path, text: str | bytes) -> tuple[PriceList, list[Finding]]:
    path = folder / "prices.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    prices, findings = read_price_list(path, ITEMS)
    for finding in findings:
        assert finding.rule in RULES
        assert finding.place.file == "prices.csv"
    return prices, list(findings)


@pytest.mark.rules(silent="materials-20 materials-21 materials-22 materials-23 materials-24 materials-25 materials-26")
def test_a_good_row_is_read_in_full(tmp_path):
    rows = "post,each,10,45.50,Store,2026-07-01,free\nlabour,h,1,40,Crew,2026-07-02,\n"
    prices, findings = read(tmp_path, HEAD + rows)
    assert findings == []
    post = prices.prices["post", 10.0]
    assert (post.unit, post.price, post.supplier, post.dated, post.tax_class) == (
        "each", Decimal("45.50"), "Store", date(2026, 7, 1), "free")
    assert prices.prices["labour", 1.0].price == Decimal(40)


@pytest.mark.parametrize(("cell", "value"), [
    ("1.234,50", "1234.50"), ("12,50", "12.50"), ("€ 12,50", "12.50"), ("12,50 EUR", "12.50"), ("1 234,50", "1234.50"),
    ("1.234", "1234")])
def test_a_decimal_comma_is_read_in_a_file_that_writes_one(tmp_path, cell, value):
    rows = f"post;each;10;{cell};Store;1.7.2026\nstaple;kg;5;9,90;Store;31.12.2026\n"
    text = "item;unit;pack;price;supplier;date\n" + rows
    prices, findings = read(tmp_path, text)
    assert findings == []
    assert prices.prices["post", 10.0].price == Decimal(value)
    assert prices.prices["post", 10.0].dated == date(2026, 7, 1)
    assert prices.prices["staple", 5.0].price == Decimal("9.90")


@pytest.mark.parametrize(("cell", "value"), [
    ("$12.50", "12.50"), ('"1,234.50"', "1234.50"), ("AUD 12.50", "12.50"), ("£0.05", "0.05"), ("0", "0"),
    ("12", "12")])
def test_a_decimal_point_with_signs_is_read(tmp_path, cell, value):
    prices, findings = read(tmp_path, HEAD + f"post,each,10,{cell},Store,2026-07-01,\n")
    assert findings == []
    assert prices.prices["post", 10.0].price == Decimal(value)


def test_a_number_that_can_be_read_in_two_ways_is_refused(tmp_path):
    prices, findings = read(tmp_path, HEAD + 'post,each,10,"1,234",Store,2026-07-01,\n')
    assert prices.prices == {}
    assert findings[0].rule == "materials-21"
    assert "cannot be read as one number" in findings[0].message


@pytest.mark.rules(fires="materials-20 materials-21 materials-22 materials-23 materials-24 materials-26")
@pytest.mark.parametrize(("row", "rule", "says"), [
    ("posst,each,10,45,Store,2026-07-01,", "materials-20", "there is no item 'posst'"),
    (",each,10,45,Store,2026-07-01,", "materials-20", "there is no item left blank"),
    ("=1+1,each,10,45,Store,2026-07-01,", "materials-20", "there is no item '=1+1'"),
    ("post,each,10,-45,Store,2026-07-01,", "materials-21", "the price -45 is below zero"),
    ("post,each,10,=45*2,Store,2026-07-01,", "materials-21", "the price '=45*2' cannot be read"),
    ("post,each,10,@SUM(A1),Store,2026-07-01,", "materials-21", "cannot be read"),
    ("post,each,10,+45,Store,2026-07-01,", "materials-21", "cannot be read"),
    ("post,each,10,nan,Store,2026-07-01,", "materials-21", "cannot be read"),
    ("post,each,10,,Store,2026-07-01,", "materials-21", "the price left blank"),
    ("post,kg,10,45,Store,2026-07-01,", "materials-22", "'post' is priced by 'kg' but counted in each"),
    ("labour,each,1,45,Store,2026-07-01,", "materials-22", "counted in h"),
    ("post,each,0,45,Store,2026-07-01,", "materials-23", "the pack '0'"),
    ("post,each,-1,45,Store,2026-07-01,", "materials-23", "the pack '-1'"),
    ("post,each,10,45,Store,01/07/2026,", "materials-24", "the date '01/07/2026'"),
    ("post,each,10,45,Store,2026-02-30,", "materials-24", "the date '2026-02-30'"),
    ("post,each,10,45,Store,,", "materials-24", "the date left blank"),
    ("post,each,10,45,Store,2026-07-01,half", "materials-26", "there is no tax class 'half'"),
    ("post,each", "materials-23", "the pack left blank"),
])
def test_a_bad_row_is_told_and_the_good_ones_kept(tmp_path, row, rule, says):
    text = f"{HEAD}mesh,m,200,360,Store,2026-07-01,\n{row}\nstaple,kg,5,9.90,Store,2026-07-01,\n"
    prices, findings = read(tmp_path, text)
    assert set(prices.prices) == {("mesh", 200.0), ("staple", 5.0)}
    (finding,) = findings
    assert (finding.rule, finding.severity, finding.place.row) == (rule, "error", 3)
    assert says in finding.message


@pytest.mark.rules(limit="materials-21 materials-23 materials-25")
@pytest.mark.parametrize(("pack", "price", "rule"), [
    ("5", "0", ""), ("5", "-0.01", "materials-21"), ("0.001", "1", ""), ("0", "1", "materials-23"),
    ("999999999", "1", ""), ("1000000000", "1", "materials-23"), ("10.0", "1", "materials-25"), ("10.01", "1", "")])
def test_a_price_and_a_pack_at_their_limits(tmp_path, pack, price, rule):
    rows = f"post,each,10,45,Store,2026-07-01,\npost,each,{pack},{price},Store,2026-07-01,\n"
    assert [finding.rule for finding in read(tmp_path, HEAD + rows)[1]] == [rule] * bool(rule)


@pytest.mark.parametrize("cell", ["post", "POST", "Post", " Post "])
def test_an_item_is_named_by_its_key_or_its_description(tmp_path, cell):
    prices, findings = read(tmp_path, f"{HEAD}{cell},each,10,45.50,Store,2026-07-01,\n")
    assert findings == []
    assert list(prices.prices) == [("post", 10.0)]


def test_an_unknown_item_is_told_with_those_that_are_like_it(tmp_path):
    _, (found,) = read(tmp_path, HEAD + "posts 180,each,10,45.50,Store,2026-07-01,\n")
    assert "'posts 180'" in found.message
    assert "such as post)" in found.remedy


def test_text_that_looks_like_a_formula_is_text(tmp_path):
    prices, _ = read(tmp_path, HEAD + 'post,each,10,45,"=HYPERLINK(""x"")",2026-07-01,\n')
    assert prices.prices["post", 10.0].supplier == '=HYPERLINK("x")'


@pytest.mark.rules(fires="materials-25")
def test_of_two_prices_the_later_stands(tmp_path):
    text = HEAD + "post,each,10,45,Store,2026-07-01,\npost,each,10,44,Other,2026-06-01,\n"
    prices, (finding,) = read(tmp_path, text)
    assert prices.prices["post", 10.0].price == Decimal(45)
    assert finding.rule == "materials-25"
    assert "the price of 2026-07-01 stands" in finding.message


@pytest.mark.rules(silent="materials-25")
def test_two_packs_of_one_item_are_two_prices(tmp_path):
    prices, findings = read(tmp_path, HEAD + "mesh,m,200,360,S,2026-07-01,\nmesh,metres,100,190,S,2026-07-01,\n")
    assert (len(prices.prices), findings) == (2, [])


@pytest.mark.rules(fires="materials-23 materials-24")
def test_a_roll_length_that_is_not_sold_and_a_missing_supplier_are_told(tmp_path):
    prices, findings = read(tmp_path, HEAD + "mesh,m,150,270,,2026-07-01,\n")
    assert len(prices.prices) == 1
    assert [f.rule for f in findings] == ["materials-23", "materials-24"]


def test_blank_rows_count_in_row_numbers_and_columns_come_in_any_order(tmp_path):
    text = "Date;Price;Item;Unit;Pack\n\n2026-07-01;45;post;EACH;10\n;;;;\n2026-07-01;x;post;each;1\n"
    prices, findings = read(tmp_path, text)
    assert prices.prices["post", 10.0].unit == "each"
    assert [(f.rule, f.place.row) for f in findings] == [("materials-24", 3), ("materials-21", 5)]


def test_a_windows_text_is_read(tmp_path):
    prices, _ = read(tmp_path, (HEAD + "post,each,10,45,Zaunbau Müller,2026-07-01,\n").encode("cp1252"))
    assert prices.prices["post", 10.0].supplier == "Zaunbau Müller"


def test_a_byte_order_mark_is_no_part_of_the_heading(tmp_path):
    prices, _ = read(tmp_path, ("\ufeff" + HEAD + "post,each,10,45,Store,2026-07-01,\n").encode())
    assert ("post", 10.0) in prices.prices


@pytest.mark.parametrize("text", ["", "\n\n", b"\xef\xbb\xbf"])
def test_an_empty_file_is_refused(tmp_path, text):
    with pytest.raises(PriceTrouble, match=r"prices\.csv: it is empty"):
        read(tmp_path, text)


def test_a_heading_without_the_needed_columns_is_refused(tmp_path):
    with pytest.raises(PriceTrouble, match="does not name the columns pack, price"):
        read(tmp_path, "item,unit,date\npost,each,2026-07-01\n")


def test_a_workbook_is_no_csv_file(tmp_path):
    with pytest.raises(PriceTrouble, match="it is not a CSV file"):
        read(tmp_path, b"PK\x03\x04\x00\x00")


def test_a_missing_file_is_told(tmp_path):
    with pytest.raises(FileTrouble, match="it cannot be read"):
        read_price_list(tmp_path / "none.csv", ITEMS)
