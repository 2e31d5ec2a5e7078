"""Rings of paddocks as one network: an edge that two paddocks share becomes one line to be fenced, not two."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import shapely

from planner.alignment.shared_boundaries import BoundaryNetwork, Misfit, network_lines, shared_boundaries
from planner.findings import Finding, Place, Severity
from planner.geometry.arrays import frozen
from planner.survey.fixes import MeasuredLine
from planner.units import Metre

TOLD_M: Metre = 0.5
"""Gaps up to this width are told of where none is to be closed; lines this near touch elsewhere in a job as well. [m]
Common practice, no source."""
_TOLD_EACH = 6
"""As many gaps and overlaps are told of one by one, more of them together."""
RULES = {
    "line-60": "a gap or an overlap between paddocks that should share an edge",
    "line-61": "closing gaps and overlaps changed the area of a paddock",
    "line-62": "an outline that crosses itself stays a line by itself",
    "line-63": "edges that paddocks share became one line each",
}


def share_edges(lines: Sequence[MeasuredLine], *, close_m: Metre | None) -> tuple[list[MeasuredLine], list[Finding]]:
    """Measured lines with the rings among them turned into a network.

    Args:
        lines: Measured lines in one grid; rings are taken as paddocks, everything else stays as it is.
        close_m: Width of gaps and overlaps to close; None to tell of them only. [m]

    Returns:
        The lines, those of the network in the place of the rings; and what was noticed.
    """
    findings: list[Finding] = []
    paddocks: list[tuple[str, shapely.Polygon]] = []
    rest: list[MeasuredLine] = []
    files: dict[str, MeasuredLine] = {}
    for line in lines:
        land = shapely.Polygon(line.xy) if line.closed and len(line.xy) > 3 else None
        if land is not None and land.is_valid and land.area > 0:
            paddocks.append((line.name, land))
            files[line.name] = line
            continue
        rest.append(line)
        if land is not None:
            findings.append(Finding(
                "line-62", "warning", f"The outline of '{line.name}' crosses itself and shares no edge with others.",
                "Mend the outline.", Place(line=line.name, file=line.file, row=line.row)))
    if len(paddocks) < 2:
        return list(lines), findings
    network = shared_boundaries(paddocks, within_m=TOLD_M if close_m is None else close_m,
                                close=close_m is not None)
    findings += _told(network, close_m)
    first = files[paddocks[0][0]]
    made = [replace(first, name=line.name, xy=frozen(line.xy), level_m=None, time_s=None, closed=line.closed,
                    kind="ring" if line.closed else "polyline", attributes=())
            for line in network_lines(network, fence="")]
    shared = sum(line.is_shared for line in network.lines)
    metres = sum(line.length_m for line in network.lines if line.is_shared)
    findings.append(Finding(
        "line-63", "note", f"{len(paddocks)} outlines became {len(made)} lines; {shared} of them, {metres:.0f} m, "
        f"stand between two paddocks and are counted once ({len(network.shared_pairs)} pairs of paddocks).",
        "Remove the lines that are fenced already.", Place(file=first.file)))
    return [*rest, *made], findings


def _told(network: BoundaryNetwork, close_m: Metre | None) -> list[Finding]:
    done = f"It was closed (up to {close_m:g} m)." if close_m is not None else "Say how wide a gap may be closed."
    severity: Severity = "note" if close_m is not None else "warning"
    worst = sorted(network.misfits, key=lambda misfit: -misfit.area_m2)
    if len(worst) > _TOLD_EACH:
        named = "; ".join(_words(misfit) for misfit in worst[:3])
        found = [Finding(
            "line-60", severity, f"{len(worst)} gaps and overlaps between paddocks, "
            f"{sum(misfit.area_m2 for misfit in worst):.1f} m2 in all, up to "
            f"{max(misfit.width_m for misfit in worst):.2f} m wide; the largest: {named}.", done,
            Place(x=worst[0].x, y=worst[0].y))]
    else:
        found = [Finding("line-60", severity, f"There is {_words(misfit)}.", done, Place(x=misfit.x, y=misfit.y))
                 for misfit in network.misfits]
    found += [Finding("line-61", "note", f"Closing changed the area of '{name}' by {gain:+.1f} m2.",
                      "Compare it with the title.", Place()) for name, gain in network.area_changes]
    return found


def _words(misfit: Misfit) -> str:
    what = "a gap" if misfit.kind == "gap" else "an overlap"
    return (f"{what} of {misfit.area_m2:.1f} m2, about {misfit.width_m:.2f} m wide, between "
            + " and ".join(f"'{name}'" for name in misfit.paddocks))
