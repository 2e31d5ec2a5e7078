"""The set-out sheet: every peg with its place, its bearing and distance to the next, and from where it is seen."""

from __future__ import annotations

from collections.abc import Sequence

from planner.geometry.bearings import bearing_of, format_bearing
from planner.job.plan import LinePlan
from planner.jobpack.basis import Basis, accuracy_text, grid_text
from planner.jobpack.page.flow import Flow
from planner.jobpack.page.form import Form
from planner.jobpack.page.measures import grouped
from planner.jobpack.page.records import FAINT, Page
from planner.jobpack.page.table import BLANK, Column, Row, Table
from planner.setout.pegs import Peg
from planner.units import Metre
from planner.wording import counted

SURVEY_CLASSES = frozenset({"survey", "rtk"})
_SAME_PLACE_M = 0.01
_WORDS = {"line": "line post", "sight": "sight only", "gate": "gate side", "crossing": "crossing bank",
          "rise": "rise", "dip": "dip"}


def setout_pages(basis: Basis) -> tuple[Page, ...]:
    """The pegs of every line.

    Args:
        basis: Basis of the sheets.
    """
    return tuple(page for line in basis.plan.lines for page in _line_pages(basis, line))


def _line_pages(basis: Basis, line: LinePlan) -> tuple[Page, ...]:
    measures = basis.measures
    flow = Flow(Form("A4", landscape=True), f"Set-out: {line.line.name}", about=accuracy_text([line], measures))
    scale = float(line.ground.scale.mean())
    fine = ("Pegs are good for survey set-out as far as the source is" if line.line.accuracy in SURVEY_CLASSES else
            "FINDER accuracy only: good enough to find each place, not to fix it; sight, strain a wire and re-measure")
    flow.text(f"{fine} ({accuracy_text([line], measures)}). Coordinates in {grid_text(basis.plan.job.crs)}, in metres. "
              f"Bearings from grid north; distances on the ground (grid distance divided by {grouped(scale, 6)}). "
              "Write "
              "the offset of an offset peg, 1 to 2 m to the side that is not used, where the machine will not take it.",
              size_pt=8.0)
    flow.table(_table(basis, line))
    hidden = sum(not seen for _, _, seen in line.sight.sees)
    sight = (f"{counted(hidden, 'stretch', 'stretches')} cannot be seen from end to end without the "
             f"{counted(len(line.sight.chainage_m), 'sight peg')}" if hidden else
             "every stretch can be seen from end to end")
    flow.text(f"Sight: eye at {measures.short(basis.plan.job.settings.eye_height_m)}, target at "
              f"{measures.short(basis.plan.job.settings.peg_target_m)}; {sight}. Trees and crops are not counted. "
              "Joins are measured in between.", size_pt=7.5, colour=FAINT)
    return flow.pages()


def _table(basis: Basis, line: LinePlan) -> Table:
    measures = basis.measures
    unit = measures.length_unit
    rows = tuple(_row(basis, line, k) for k in range(len(line.pegs)))
    return Table((
        Column("Peg", weight="bold", grow=0), Column("What", grow=0), Column("In", grow=0),
        Column(f"Chainage {unit}", "right", grow=0), Column("To", grow=0), Column("Bearing", "right", grow=0),
        Column(f"Distance {unit}", "right", grow=0), Column("Easting m", "right", grow=0),
        Column("Northing m", "right", grow=0), Column(f"Level {unit}", "right", grow=0),
        Column("Sight", grow=0.4), Column("Note", grow=1), Column("Offset peg", grow=0, least=17.0)), rows, size_pt=7.4,
        tall=5.6)


def _row(basis: Basis, line: LinePlan, k: int) -> Row:
    measures = basis.measures
    peg = line.pegs[k]
    after = following(line, k)
    to, bearing, distance = "", "", ""
    if after is not None:
        far = ground_distance(line, peg, after)
        to = after.name
        if far < _SAME_PLACE_M:
            bearing, distance = "same place", measures.number(0.0, 2)
        else:
            bearing = format_bearing(bearing_of(after.x - peg.x, after.y - peg.y))
            distance = measures.number(far, 2)
    return Row((peg.name, _WORDS.get(peg.kind, peg.kind), peg.section, measures.number(peg.chainage_m, 2), to, bearing,
                distance, grouped(peg.x, 2), grouped(peg.y, 2), measures.number(peg.level_m, 2),
                sight_note(line.pegs, k), _note(peg), BLANK))


def following(line: LinePlan, k: int) -> Peg | None:
    """The peg after another; after the last of a closed line the first, of an open one None.

    Args:
        line: Plan of the line.
        k: Place of the peg among those of its line.
    """
    if k + 1 < len(line.pegs):
        return line.pegs[k + 1]
    return line.pegs[0] if line.line.closed and k > 0 else None


def ground_distance(line: LinePlan, peg: Peg, after: Peg) -> Metre:
    """Straight distance on the ground from a peg to another, in plan. [m]

    Args:
        line: Plan of their line.
        peg: The one.
        after: The other.
    """
    ground = line.ground
    starts = ground.chainage_m[ground.vertices]
    leg = min(max(int(starts.searchsorted(peg.chainage_m + 1e-9, side="right")) - 1, 0), len(ground.scale) - 1)
    return float(((after.x - peg.x) ** 2 + (after.y - peg.y) ** 2) ** 0.5 / ground.scale[leg])


def sight_note(pegs: Sequence[Peg], k: int) -> str:
    """From which peg a peg is seen: the last one before it that is not a join. Empty for the first and for joins.

    Args:
        pegs: Pegs of a line.
        k: Place of the peg.
    """
    if pegs[k].kind == "join":
        return ""
    before = next((p for p in reversed(pegs[:k]) if p.kind != "join"
                   and abs(p.chainage_m - pegs[k].chainage_m) > _SAME_PLACE_M), None)
    return f"see {pegs[k].name} from {before.name}" if before is not None else ""


def _note(peg: Peg) -> str:
    return peg.note.split(";")[0] if peg.kind == "join" else peg.note
