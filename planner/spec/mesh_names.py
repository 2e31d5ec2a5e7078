"""What the name of a prefabricated mesh says of it."""

from __future__ import annotations

import re
from dataclasses import dataclass

from planner.errors import BadFenceType
from planner.units import INCH_M, Metre

_METRIC = re.compile(r"\s*([A-Za-z]*)\s*(\d{1,2})\s*/\s*(\d{2,3})\s*/\s*(\d{1,2})\s*")
_INCHES = re.compile(r"\s*(\d{1,2})(\d{2})\s*-\s*(\d{1,2})(?:\s*-\s*(\d{1,2}(?:\.5)?))?\s*")


@dataclass(frozen=True, slots=True)
class MeshName:
    """A mesh by its name.

    Attributes:
        line_wires: Number of line wires.
        height_m: Bottom line wire to top line wire, as named. [m]
        picket_spacing_m: Distance between pickets. [m]
        grade: Letters before a metric name, such as ``HT``; empty when none.
        filler_gauge: Wire gauge of the wires between top and bottom, where an inch name gives it; None otherwise.
    """

    line_wires: int
    height_m: Metre
    picket_spacing_m: Metre
    grade: str = ""
    filler_gauge: float | None = None


def parse_mesh_name(text: str) -> MeshName:
    """Line wires, height and picket spacing from the name of a mesh.

    ``8/90/30`` is line wires, height in cm, picket spacing in cm, with letters before it in some countries.
    ``1047-12-11`` is line wires and height in inches run together (10 and 47), picket spacing in inches, and the wire
    *gauge* of the filler wires: the last number is no distance.

    Args:
        text: The name.

    Raises:
        BadFenceType: It is no such name, or it names fewer than two line wires, no height or no spacing.

    Source:
        NSW South East Local Land Services field day notes 2017; Hampshire County Council livestock fencing sheet;
        extension text in Ozarks Farm and Neighbor, 4 May 2009. Checked in tests/validation/test_mesh_names.py.

    Example:
        >>> parse_mesh_name("8/90/30")
        MeshName(line_wires=8, height_m=0.9, picket_spacing_m=0.3, grade='', filler_gauge=None)
    """
    if metric := _METRIC.fullmatch(text):
        grade, wires, height, spacing = metric.groups()
        name = MeshName(int(wires), int(height) / 100.0, int(spacing) / 100.0, grade.upper())
    elif inches := _INCHES.fullmatch(text):
        wires, height, spacing, gauge = inches.groups()
        name = MeshName(int(wires), int(height) * INCH_M, int(spacing) * INCH_M,
                        filler_gauge=float(gauge) if gauge else None)
    else:
        raise _no_mesh_name(text)
    if name.line_wires < 2 or name.height_m <= 0.0 or name.picket_spacing_m <= 0.0:
        raise _no_mesh_name(text)
    return name


def _no_mesh_name(text: str) -> BadFenceType:
    return BadFenceType("this is not the name of a mesh", where=f"mesh '{text}'",
                        remedy="write line wires/height in cm/picket spacing in cm, such as 8/90/30")
