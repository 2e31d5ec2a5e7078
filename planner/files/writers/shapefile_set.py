"""Fence lines for programs that read Shapefiles: four sets of files in the working grid.

``lines`` holds the straining sections, ``lines-posts``, ``lines-joins`` and ``lines-pegs`` the points on them. Each set
is .shp, .shx, .dbf, .prj and .cpg (UTF-8). Shapefile names have ten characters at most; those used here:

=========== ============================================== ====
field       meaning                                        unit
=========== ============================================== ====
SECTION     section id
LINE        name of the fence line
FENCE       fence type key
KIND        run, gate or crossing; kind of post, join, peg
FROM_M      chainage of its start                          m
TO_M        chainage of its end                            m
SLOPE_M     length along the ground                        m
PULL_KN     pull on its ends                               kN
JOINS       mid-run joins in it
NAME        name of the post or peg
ITEM        item key of the post
CHAIN_M     chainage                                       m
SIDE_KN     side force                                     kN
UPLIFT_KN   uplift                                         kN
HOLDDOWN    hold-down
REASONS     why the join is there
=========== ============================================== ====

Source:
    ESRI Shapefile Technical Description, July 1998; field names and texts as dBASE III holds them: 10 and 254 bytes.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np
import shapely

from planner.files.atomic_save import whole_file
from planner.files.derived_layers import JOINS, PEGS, POSTS, SECTIONS, derived_layers
from planner.files.geopackage import Layer
from planner.files.job_file import DerivedLayer
from planner.files.writers.texts import cut_to_bytes
from planner.job.plan import JobPlan

FIELDS = {
    "section": "SECTION", "line": "LINE", "fence": "FENCE", "kind": "KIND", "from_m": "FROM_M", "to_m": "TO_M",
    "slope_length_m": "SLOPE_M", "pull_kN": "PULL_KN", "mid_run_joins": "JOINS", "name": "NAME", "item": "ITEM",
    "chainage_m": "CHAIN_M", "side_kN": "SIDE_KN", "uplift_kN": "UPLIFT_KN", "hold_down": "HOLDDOWN",
    "reasons": "REASONS",
}
ENDINGS = (".shx", ".dbf", ".prj", ".cpg", ".shp")
"""Endings of one set; the .shp takes its place last, when the others stand."""
_SETS = {SECTIONS.name: "", POSTS.name: "-posts", JOINS.name: "-joins", PEGS.name: "-pegs"}
_TEXT_BYTES = 254
_TYPES = {"POINT": "Point Z", "LINESTRING": "LineString Z"}


def write_lines_shp(target: Path, plan: JobPlan) -> None:
    """Sections, posts, joins and pegs as Shapefiles beside each other, each file whole or not at all.

    Args:
        target: Where the .shp of the sections shall stand; the other files stand beside it.
        plan: The plan.

    Raises:
        FileTrouble: They cannot be written there.
    """
    for layer in derived_layers(plan):
        _write_set(target.with_name(f"{target.stem}{_SETS[layer[0].name]}.shp"), layer, plan)


def _write_set(target: Path, content: DerivedLayer, plan: JobPlan) -> None:
    import pyogrio.raw

    layer, rows, shapes = content
    with tempfile.TemporaryDirectory() as folder:
        draft = Path(folder) / "set.shp"
        pyogrio.raw.write(
            draft, np.asarray(shapely.to_wkb(np.asarray(shapes, dtype=object), output_dimension=3), dtype=object),
            field_data=[_column(layer, k, [row[k] for row in rows]) for k in range(len(layer.fields))],
            fields=np.array([FIELDS[name] for name, _ in layer.fields], dtype=object), field_mask=None,
            geometry_type=_TYPES[layer.geometry], crs=plan.job.crs or None, driver="ESRI Shapefile", encoding="UTF-8")
        for ending in ENDINGS:
            made = draft.with_suffix(ending)
            if made.exists():
                with whole_file(target.with_suffix(ending)) as out:
                    out.write_bytes(_dated(made.read_bytes(), plan) if ending == ".dbf" else made.read_bytes())


def _column(layer: Layer, k: int, values: list[object]) -> np.ndarray:
    kind = layer.fields[k][1]
    if kind == "TEXT":
        return np.array([cut_to_bytes(str(value), _TEXT_BYTES) for value in values], dtype=object)
    return np.array(values, dtype=np.int32 if kind in ("INTEGER", "BOOLEAN") else np.float64)


def _dated(table: bytes, plan: JobPlan) -> bytes:
    """The table with the day on which the job was made in its head, so that the same job gives the same file.

    Source:
        dBASE III file structure: bytes 1 to 3 of the head are year less 1900, month and day of the last change.
    """
    day = plan.job.made_at[:10].split("-")
    year, month, number = (int(part) for part in day) if len(day) == 3 else (2000, 1, 1)
    return table[:1] + bytes((year - 1900, month, number)) + table[4:]
