"""How a job lies in its file: feature tables that any GIS opens, and the program's own tables beside them.

The program's tables hold names and values as text, numbers as numbers, and long number rows (recorded levels) as
little-endian float64 compressed with zlib. Everything derived is written for other programs' eyes and never read.
"""

from __future__ import annotations

import json
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from datetime import date
from decimal import Decimal
from typing import Any

import numpy as np
import shapely

from planner.alignment.line import Crossing, FenceLine, Gate, GroundStretch, Side
from planner.files.choice_tables import choice_rows, options_of, stages_of, terms_of
from planner.files.geopackage import Layer
from planner.files.noticed_table import NOTICED_TABLE, noticed_of, noticed_rows
from planner.files.record_tables import RECORD_TABLES, clearances_of, record_rows, records_of, sides_of
from planner.geometry.arrays import Floats, Integers, frozen
from planner.job.job import Job, Waiver
from planner.materials.prices import Price, PriceList
from planner.settings import Settings
from planner.survey.features import Feature
from planner.survey.fixes import MeasuredPoint
from planner.survey.ground import SOURCE_NAMES, LevelQuality, RecordedLevels

FORMAT = "1.3"
EXTENSION = "strainwright_job"
DEFINITION = "Strainwright job tables, described in the program's DEVELOPERS.md under 'The job file'"

LINES = Layer("lines", "LINESTRING", (
    ("name", "TEXT"), ("fence", "TEXT"), ("closed", "BOOLEAN"), ("accuracy", "TEXT"), ("origin", "TEXT")),
    description="fence lines")
GATES = Layer("gates", "POINT", (("name", "TEXT"), ("line", "TEXT"), ("width_m", "DOUBLE"), ("item", "TEXT")),
              description="gates on fence lines")
CROSSINGS = Layer("crossings", "POINT", (
    ("name", "TEXT"), ("line", "TEXT"), ("span_m", "DOUBLE"), ("depth_m", "DOUBLE")), description="water crossings")
FEATURES = Layer("features", "GEOMETRY", (
    ("name", "TEXT"), ("meaning", "TEXT"), ("attributes", "TEXT"), ("origin", "TEXT")),
    description="what else stands on the ground")
POINTS = Layer("survey_points", "POINT", (
    ("name", "TEXT"), ("level_m", "DOUBLE"), ("code", "TEXT"), ("width_m", "DOUBLE"), ("accuracy", "TEXT"),
    ("file", "TEXT"), ("row", "INTEGER")), description="surveyed points")

TABLES: dict[str, tuple[tuple[tuple[str, str], ...], str]] = {
    "strainwright_job": ((("name", "TEXT"), ("value", "TEXT")), "name, grid, dates and format version of the job"),
    "strainwright_settings": ((("name", "TEXT"), ("value", "TEXT")), "settings that differ from the defaults, as JSON"),
    "strainwright_fences": ((("key", "TEXT"), ("toml", "TEXT")), "fence types of this job's own"),
    "strainwright_stretches": ((("line", "TEXT"), ("from_m", "DOUBLE"), ("to_m", "DOUBLE"), ("ground", "TEXT")),
                               "ground classes along lines"),
    "strainwright_corners": ((("line", "TEXT"), ("sd_m", "BLOB")), "standard deviation of each corner of fitted lines"),
    "strainwright_levels": ((
        ("line", "TEXT"), ("names", "TEXT"), ("noise_m", "DOUBLE"), ("corners", "BLOB"), ("at_m", "BLOB"),
        ("level_m", "BLOB"), ("sd_m", "BLOB"), ("source", "BLOB"),
        ("quality", "TEXT")), "profile recorded along each line"),
    "strainwright_prices": ((
        ("item", "TEXT"), ("unit", "TEXT"), ("pack", "DOUBLE"), ("price", "TEXT"), ("supplier", "TEXT"),
        ("dated", "TEXT"), ("tax_class", "TEXT")), "price list"),
    "strainwright_waivers": ((("rule", "TEXT"), ("line", "TEXT"), ("place", "TEXT"), ("reason", "TEXT")),
                             "findings set aside, with the reason"),
    "strainwright_notes": ((("text", "TEXT"),), "notes"),
    "strainwright_grounds": ((("path", "TEXT"),), "files that levels were taken from, best first"),
    "strainwright_quote_terms": ((("name", "TEXT"), ("value", "TEXT")), "quote terms that differ from the defaults, as "
                                 "JSON"),
    "strainwright_options": ((("name", "TEXT"), ("note", "TEXT")), "alternatives, of which one is built"),
    "strainwright_option_lines": ((("option", "TEXT"), ("line", "TEXT")), "lines that only some options hold"),
    "strainwright_option_fences": ((("option", "TEXT"), ("line", "TEXT"), ("fence", "TEXT")),
                                   "fence types that lines carry in an option"),
    "strainwright_stages": ((("name", "TEXT"), ("year", "TEXT"), ("note", "TEXT")),
                            "what is built together, in order; the year is empty while it is not decided"),
    "strainwright_stage_lines": ((("stage", "TEXT"), ("line", "TEXT")), "lines of each stage"),
    **RECORD_TABLES,
    **NOTICED_TABLE,
}
_MOST_UNPACKED = 8 * 20_000_000  # bytes: 20 million stations along one line


def feature_rows(job: Job) -> Iterator[tuple[Layer, list[tuple[Any, ...]], list[shapely.Geometry]]]:
    """The feature tables of a job: each layer with its rows and shapes."""
    yield (LINES, [(n.name, n.fence, int(n.closed), n.accuracy, n.origin) for n in job.lines],
           [shapely.LineString(n.xy) for n in job.lines])
    gates = [(n.name, g) for n in job.lines for g in n.gates]
    yield (GATES, [(g.name, line, g.width_m, g.item) for line, g in gates],
           [shapely.Point(g.x, g.y) for _, g in gates])
    crossings = [(n.name, c) for n in job.lines for c in n.crossings]
    yield (CROSSINGS, [(c.name, line, c.span_m, c.depth_m) for line, c in crossings],
           [shapely.Point(c.x, c.y) for _, c in crossings])
    yield (FEATURES, [(f.name, f.meaning, json.dumps(f.attributes), f.origin) for f in job.features],
           [shapely.from_wkt(f.wkt) for f in job.features])
    yield (POINTS, [(p.name, p.level_m, p.code, p.width_m, p.accuracy, p.file, p.row) for p in job.points],
           [shapely.Point(p.x, p.y) for p in job.points])


def table_rows(job: Job, *, program_version: str) -> dict[str, list[tuple[Any, ...]]]:
    """The rows of the program's own tables, by table name."""
    facts = {"format": job.unread.format or FORMAT, "program_version": program_version, "name": job.name,
             "crs": job.crs, "made_at": job.made_at, "own_items": job.own_items, "option": job.option}
    plain = Settings().as_dict()
    return {
        "strainwright_job": list(facts.items()),
        "strainwright_settings": [(k, json.dumps(v)) for k, v in job.settings.as_dict().items() if v != plain[k]],
        "strainwright_fences": list(job.own_fences.items()),
        "strainwright_stretches": [(n.name, s.from_m, s.to_m, s.ground) for n in job.lines for s in n.stretches],
        "strainwright_corners": [(n.name, _pack(n.corner_sd_m)) for n in job.lines if n.corner_sd_m is not None],
        "strainwright_levels": [_level_row(name, levels) for name, levels in job.levels.items()],
        "strainwright_prices": [(p.item, p.unit, p.pack, str(p.price), p.supplier, p.dated.isoformat(), p.tax_class)
                                for p in job.prices.prices.values()],
        "strainwright_waivers": [(w.rule, w.line, w.where, w.reason) for w in job.waivers],
        "strainwright_notes": [(note,) for note in job.notes],
        "strainwright_grounds": [(path,) for path in job.grounds],
        **choice_rows(job),
        **record_rows(job),
        **noticed_rows(job),
    }


def job_of(features: dict[str, list[tuple[Any, ...]]], tables: dict[str, list[tuple[Any, ...]]]) -> Job:
    """The job that some rows describe.

    Args:
        features: Layer name to rows, geometry first, then the layer's fields.
        tables: Table name to rows, in the order of ``TABLES``.

    Raises:
        ValueError: A value cannot be what its column says.
        KeyError: A row that every job has is missing.
        PlannerError: A setting is out of its limits.
    """
    facts = dict(tables["strainwright_job"])
    sides, parts = sides_of(tables), _parts(features, tables)
    return Job(
        name=facts["name"], crs=facts["crs"], made_at=facts.get("made_at", ""), own_items=facts.get("own_items", ""),
        lines=tuple(_line(row, parts, sides) for row in features["lines"]),
        levels={row[0]: _levels(row) for row in tables["strainwright_levels"]},
        features=tuple(Feature(name, meaning, shape.wkt, tuple((k, v) for k, v in json.loads(facts_)), origin)
                       for shape, name, meaning, facts_, origin in features["features"]),
        points=tuple(MeasuredPoint(name, shape.x, shape.y, level, code, width, accuracy, file, row)
                     for shape, name, level, code, width, accuracy, file, row in features["survey_points"]),
        settings=Settings().changed({k: json.loads(v) for k, v in tables["strainwright_settings"]}),
        own_fences=dict(tables["strainwright_fences"]),
        prices=PriceList({(p.item, p.pack): p for p in map(_price, tables["strainwright_prices"])}),
        waivers=tuple(Waiver(*row) for row in tables["strainwright_waivers"]),
        notes=tuple(text for (text,) in tables["strainwright_notes"]),
        grounds=tuple(path for (path,) in tables["strainwright_grounds"]),
        terms=terms_of(tables["strainwright_quote_terms"]), option=facts.get("option", ""), options=options_of(tables),
        stages=stages_of(tables), clearances=clearances_of(tables), records=records_of(tables),
        noticed=noticed_of(tables),
    )


@dataclass(frozen=True, slots=True)
class _Parts:
    """Rows that belong to lines, by the name of the line, each list in the order of its table."""

    gates: Mapping[str, list[tuple[Any, ...]]]
    crossings: Mapping[str, list[tuple[Any, ...]]]
    corners: Mapping[str, list[tuple[Any, ...]]]
    stretches: Mapping[str, list[tuple[Any, ...]]]


def _parts(features: Mapping[str, list[tuple[Any, ...]]], tables: Mapping[str, list[tuple[Any, ...]]]) -> _Parts:
    return _Parts(_by_line(features["gates"], 2), _by_line(features["crossings"], 2),
                  _by_line(tables["strainwright_corners"], 0), _by_line(tables["strainwright_stretches"], 0))


def _by_line(rows: list[tuple[Any, ...]], column: int) -> dict[str, list[tuple[Any, ...]]]:
    found: dict[str, list[tuple[Any, ...]]] = {}
    for row in rows:
        found.setdefault(row[column], []).append(row)
    return found


def _line(row: tuple[Any, ...], parts: _Parts, sides: Mapping[str, Side]) -> FenceLine:
    shape, name, fence, closed, accuracy, origin = row
    known = [_unpack(packed) for _, packed in parts.corners.get(name, ())]
    sd = known[0] if known else None
    if len(known) > 1 or (sd is not None and (len(sd) != len(shape.coords) or not ((sd >= 0) & (sd < np.inf)).all())):
        raise ValueError(f"how well the corners of '{name}' are known does not fit its corners")
    return FenceLine(
        name=name, fence=fence, xy=frozen(shapely.get_coordinates(shape)), closed=bool(closed), accuracy=accuracy,
        gates=tuple(Gate(g, p.x, p.y, width, item) for p, g, _, width, item in parts.gates.get(name, ())),
        crossings=tuple(Crossing(c, p.x, p.y, span, depth)
                        for p, c, _, span, depth in parts.crossings.get(name, ())),
        stretches=tuple(GroundStretch(a, b, ground)
                        for _, a, b, ground in parts.stretches.get(name, ())),
        origin=origin, corner_sd_m=sd, wires_on=sides.get(name, ""))


def _price(row: tuple[Any, ...]) -> Price:
    item, unit, pack, price, supplier, dated, tax_class = row
    return Price(item, unit, pack, Decimal(price), supplier, date.fromisoformat(dated), tax_class)


def _level_row(name: str, levels: RecordedLevels) -> tuple[Any, ...]:
    return (name, json.dumps(levels.names), levels.noise_m, _pack(levels.xy), _pack(levels.at_m),
            _pack(levels.level_m), _pack(levels.sd_m), _pack(levels.source), json.dumps(asdict(levels.quality)))


def _levels(row: tuple[Any, ...]) -> RecordedLevels:
    _, names, noise, corners, at, level, sd, source, quality = row
    return RecordedLevels(
        xy=frozen(_unpack(corners).reshape(-1, 2)), at_m=frozen(_unpack(at)), level_m=frozen(_unpack(level)),
        sd_m=frozen(_unpack(sd)), source=_sources(_unpack(source)), noise_m=noise,
        names=tuple(json.loads(names)), quality=LevelQuality(**json.loads(quality)))


def _sources(codes: Floats) -> Integers:
    if not np.isin(codes, np.arange(len(SOURCE_NAMES))).all():
        raise ValueError("a row of recorded levels names no source")
    return frozen(codes, np.int64)


def _pack(values: Any) -> bytes:
    return zlib.compress(np.ascontiguousarray(values, dtype="<f8").tobytes(), 6)


def _unpack(blob: bytes) -> Any:
    unpacker = zlib.decompressobj()
    try:
        content = unpacker.decompress(blob, _MOST_UNPACKED)
        if unpacker.unconsumed_tail:
            raise ValueError("a row of packed numbers grows out of proportion")
        return np.frombuffer(content, dtype="<f8").astype(np.float64)
    except zlib.error as trouble:
        raise ValueError("a row of packed numbers is damaged") from trouble
