"""Items, end assemblies and ground classes from catalogue files."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise

from planner.spec.end_assemblies import AssemblyForm, EndAssembly
from planner.spec.ground_classes import GroundClass, Setting
from planner.spec.items import Item
from planner.spec.tables import Table, check_key, nearest
from planner.spec.wires import Wire
from planner.units import KGF_N, Newton

BARBED_FAMILY = "barbed-wire"
LABOUR_KEY = "labour"
_FORMS: tuple[AssemblyForm, ...] = ("box", "diagonal", "post", "hand")
_SETTINGS: tuple[Setting, ...] = ("driven", "dug", "drilled")
_UNITS = ("m", "each", "kg", "h")


def read_items(values: Mapping[str, object], *, file: str) -> dict[str, Item]:
    """Items by key, from the tables of an item list.

    The mass of a wire that is not given is the mass of its steel.

    Args:
        values: The file's tables, one an item.
        file: Name of the file, for messages.

    Raises:
        BadFenceType: A field is unknown, missing or unusable; names file, table and field.
    """
    return {key: _read_item(key, table) for key, table in _each(values, file)}


def read_assemblies(
    values: Mapping[str, object], items: Mapping[str, Item], *, file: str,
) -> dict[str, EndAssembly]:
    """End assemblies by key.

    Args:
        values: The file's tables, one an assembly.
        items: Items their parts may name.
        file: Name of the file, for messages.

    Raises:
        BadFenceType: A field is unknown, missing or unusable, or a part is not in the item list.
    """
    return {key: _read_assembly(key, table, items) for key, table in _each(values, file)}


def read_grounds(values: Mapping[str, object], *, file: str) -> dict[str, GroundClass]:
    """Ground classes by key.

    Args:
        values: The file's tables, one a class.
        file: Name of the file, for messages.

    Raises:
        BadFenceType: A field is unknown, missing or unusable.
    """
    return {key: _read_ground(key, table) for key, table in _each(values, file)}


def item_key(table: Table, field: str, items: Mapping[str, Item], *, optional: bool = False) -> str:
    """The key of a listed item, read from a field.

    Args:
        table: Table that names it.
        field: Name of the field.
        items: Items by key.
        optional: True when the field may be left out; the key is then empty.

    Raises:
        BadFenceType: Missing, or not in the item list; names the nearest key.
    """
    key = table.text(field, default="" if optional else None)
    if key:
        need_item(table, field, key, items)
    return key


def need_item(table: Table, field: str, key: str, items: Mapping[str, Item]) -> None:
    """Refuse a key that is not in the item list.

    Raises:
        BadFenceType: It is not; names the nearest key.
    """
    if key not in items:
        near = nearest(key, items)
        table.refuse(field, f"'{key}' is not in the item list",
                     f"did you mean '{near}'" if near else "add it to your items.toml")


def strain(table: Table, field: str) -> Newton:
    """A tension given either in kilonewtons or in kilograms-force. [N]

    Args:
        table: Table that holds it.
        field: Name of the field without its unit: ``strain`` reads ``strain_kn`` or ``strain_kgf``.

    Raises:
        BadFenceType: Both are given, or neither, or the value is not from 0 to 50 kN.
    """
    if table.has(f"{field}_kgf"):
        if table.has(f"{field}_kn"):
            table.refuse(f"{field}_kgf", f"'{field}_kn' is given as well", "keep one of the two")
        return table.number(f"{field}_kgf", low=0.0, high=5000.0, unit="kgf") * KGF_N
    return table.number(f"{field}_kn", low=0.0, high=50.0, unit="kN") * 1000.0


def _each(values: Mapping[str, object], file: str) -> Iterator[tuple[str, Table]]:
    for key, table in Table(values, file=file).each():
        check_key(key, file=file)
        yield key, table


def _read_item(key: str, table: Table) -> Item:
    if key == LABOUR_KEY:
        table.refuse("key", f"'{LABOUR_KEY}' stands for person-hours in price lists", "give the item another key")
    unit = table.choice("unit", _UNITS)
    wire = _read_wire(table.table("wire")) if table.has("wire") else None
    mass = table.number("mass_kg", low=0.0, high=5000.0, unit="kg") if table.has("mass_kg") else None
    if mass is None and wire is not None and unit == "m":
        mass = wire.steel_kg_per_m
    stock = table.numbers("stock_m", low=1.0, high=10_000.0, unit="m") if table.has("stock_m") else ()
    if any(longer <= shorter for longer, shorter in pairwise(stock)):
        table.refuse("stock_m", "the roll lengths are not in order", "list the longest first, each length once")
    if stock and unit != "m":
        table.refuse("stock_m", f"roll lengths are given for something counted in '{unit}'", "set unit to 'm'")
    length = table.number("length_mm", low=0.0, high=20_000.0, unit="mm", above_low=True) / 1000 if table.has(
        "length_mm") else None
    item = Item(
        key=key,
        description=table.text("description"),
        unit=unit,
        pack=table.number("pack", low=0.0, high=10_000.0, default=1.0, above_low=True),
        mass_kg=mass,
        stock_m=stock,
        family=table.text("family", default=""),
        length_m=length,
        wire=wire,
        timber=table.yes_no("timber", default=False),
        long=table.yes_no("long", default=False),
        pieces_per_unit=table.number("pieces_per_unit", low=0.0, high=100_000.0, default=1.0, above_low=True),
    )
    table.finish()
    return item


def _read_wire(table: Table) -> Wire:
    breaking = table.number("breaking_kn", low=0.0, high=500.0, unit="kN", above_low=True) * 1000 if table.has(
        "breaking_kn") else None
    wire = Wire(
        diameter_m=table.number("diameter_mm", low=0.0, high=50.0, unit="mm", above_low=True) / 1000,
        filaments=table.whole("filaments", low=1, high=1000, default=1),
        breaking_n=breaking,
    )
    table.finish()
    return wire


def _read_assembly(key: str, table: Table, items: Mapping[str, Item]) -> EndAssembly:
    form = table.choice("form", _FORMS)
    braced = form in ("box", "diagonal")
    assembly = EndAssembly(
        key=key,
        description=table.text("description"),
        form=form,
        spans=table.whole("spans", low=1, high=4, default=None if braced else 1),
        rail_height_m=_brace(table, "rail_height_mm", braced),
        brace_length_m=_brace(table, "brace_length_mm", braced),
        parts=table.amounts("parts", high=1000.0),
        parts_further=table.amounts("parts_further", high=1000.0) if table.has("parts_further") else (),
        depth_m=table.number("depth_mm", low=0.0, high=3000.0, unit="mm") / 1000,
    )
    for field, parts in (("parts", assembly.parts), ("parts_further", assembly.parts_further)):
        for part, _ in parts:
            need_item(table, f"{field}.{part}", part, items)
    if not assembly.parts or items[assembly.parts[0][0]].length_m is None:
        table.refuse("parts", "the first part is not a post", "list the post that takes the pull first")
    table.finish()
    return assembly


def _brace(table: Table, field: str, braced: bool) -> float:
    if braced:
        return table.number(field, low=0.0, high=10_000.0, unit="mm", above_low=True) / 1000
    if table.has(field):
        table.refuse(field, "a post alone or a hand-set end has no brace", "leave the field out")
    return 0.0


def _read_ground(key: str, table: Table) -> GroundClass:
    ground = GroundClass(
        key=key,
        description=table.text("description"),
        setting=table.choice("setting", _SETTINGS),
        uplift_n=table.number("uplift_kgf", low=0.0, high=10_000.0, unit="kgf") * KGF_N,
        posts_factor=table.number("posts_factor", low=0.1, high=20.0),
        ends_factor=table.number("ends_factor", low=0.1, high=20.0),
    )
    table.finish()
    return ground
