"""What the import says of files, grids and walks, in words."""

from __future__ import annotations

from collections.abc import Sequence

from planner.errors import PlannerError, TooLarge
from planner.findings import Finding
from planner.survey.track_fit import TrackFit
from planner.ui.dialogs.import_placing import Placed
from planner.ui.dialogs.import_reading import FileRead
from planner.ui.measures import Measures, count
from planner.units import Metre

LEAST_TOLD_M: Metre = 0.05


def in_short(one: FileRead | None) -> str:
    """What a file holds, for the list.

    Args:
        one: The file; None while it is being read.
    """
    if one is None:
        return "reading …"
    if isinstance(one.trouble, TooLarge):
        return "very large: not read yet"
    if one.trouble is not None:
        return "cannot be used"
    if one.kind == "terrain":
        return "terrain"
    if one.prices is not None:
        return count(len(one.prices.prices), "price")
    assert one.reading is not None
    lines, points = len(one.reading.lines), len(one.reading.points)
    parts = [count(lines, "line") if lines else "", count(points, "point") if points else ""]
    return ", ".join(part for part in parts if part) or "nothing in it"


def told(one: FileRead | None, placed: Placed | None) -> str:
    """What a file is, in a sentence or two.

    Args:
        one: The file; None while it is being read.
        placed: Where the files lie; None while that is not known.
    """
    if one is None:
        return "Reading …"
    if isinstance(one.trouble, TooLarge):
        return f"{capital(one.trouble.what)}. Cut out the part around the farm, or read it all the same."
    if one.trouble is not None:
        return refused("It cannot be used", one.trouble)
    if one.kind == "terrain":
        trouble = placed.terrain_troubles.get(str(one.path)) if placed is not None else None
        if trouble is not None:
            return refused("Terrain that cannot be used", trouble)
        known = placed.terrain.get(str(one.path), "") if placed is not None else ""
        return f"Terrain: {known}. Levels are taken along every line." if known else "Terrain."
    if one.prices is not None:
        return f"Price list with {count(len(one.prices.prices), 'price')}; it takes the place of the job's own."
    assert one.reading is not None
    lines, points = one.reading.lines, one.reading.points
    corners = sum(line.corner_count for line in lines)
    said = [f"{count(len(lines), 'line')} with {count(corners, 'corner')}" if lines else "",
            count(len(points), "point") if points else ""]
    return (" and ".join(part for part in said if part) or "Nothing that can be used") + "."


def refused(head: str, trouble: PlannerError) -> str:
    """Why something cannot be used, and what to do.

    Args:
        head: What cannot be used.
        trouble: Why.
    """
    return f"{head}: {trouble.what}." + (f" {capital(trouble.remedy)}." if trouble.remedy else "")


def grid_told(one: FileRead | None, placed: Placed | None, stated: str) -> str:
    """Which coordinate system a file is in, and how sure that is.

    Args:
        one: The file; None while it is being read.
        placed: Where the files lie; None while that is not known.
        stated: The coordinate system that was said.
    """
    reading = one.reading if one is not None else None
    if reading is None or not (reading.lines or reading.points):
        return ""
    if not reading.crs:
        return "States no coordinate system." + (f" Taken as {stated}, as said." if stated else
                                                " It must be said before anything is brought in.")
    name = placed.crs_names.get(reading.file, "") if placed is not None else ""
    if "datum not stated" in name:
        return f"{name}: the projection is stated, the datum is not."
    sure = next((note for note in reading.notes if "datum" in note.lower() or "WGS" in note), "Stated by the file.")
    return f"{name}. {sure}" if name else "Looking it up …"


def fit_told(name: str, fit: TrackFit, read_m: Metre, m: Measures, *, fitted: bool) -> str:
    """A walk as it was read and as it was fitted.

    Args:
        name: Name of the walk.
        fit: Its fit.
        read_m: Its length as read, from fix to fix. [m]
        m: Writes lengths.
        fitted: False when it is kept as walked.
    """
    text = f"{name}: length as read {m.length(read_m)}"
    to_close = fit.raw_length_m - read_m
    if not fitted:
        return f"{text}, kept as walked."
    if to_close > LEAST_TOLD_M:
        text += f" and {m.length(to_close)} to close it"
    elif to_close < -LEAST_TOLD_M:
        text += f"; it comes back beside itself, the way out alone is {m.length(fit.raw_length_m)}"
    text += (f"; fitted {m.length(fit.fitted_length_m)} ± {m.length(fit.fitted_length_sd_m)}, "
             f"{count(len(fit.corners) - fit.closed, 'corner')}")
    removed: dict[str, int] = {}
    for part in fit.removed:
        removed[part.reason] = removed.get(part.reason, 0) + part.count
    left = ", ".join(f"{count(number, 'fix', 'fixes')} ({why})" for why, number in removed.items())
    return f"{text}; left out {left}." if left else f"{text}."


def headline(files: int, fences: int, others: int, points: int, known: list[FileRead]) -> str:
    """What would be brought in.

    Args:
        files: Number of files.
        fences: Number of fence lines.
        others: Number of things on the ground.
        points: Number of survey points.
        known: Files that were read.
    """
    terrain, prices = sum(one.kind == "terrain" for one in known), sum(one.prices is not None for one in known)
    parts = [count(fences, "fence line") if fences else "",
             count(others, "thing on the ground", "things on the ground") if others else "",
             count(points, "point") if points else "", count(terrain, "terrain file") if terrain else "",
             count(prices, "price list") if prices else ""]
    said = ", ".join(part for part in parts if part) or "nothing that can be brought in yet"
    return f"{count(files, 'file')}: {said}"


def findings_head(found: Sequence[Finding]) -> str:
    """What the page of findings is called: what only was noted is nothing to look at.

    Args:
        found: The findings of a file.
    """
    loud = sum(finding.severity != "note" for finding in found)
    if loud:
        return f"To look at {loud}"
    return f"Noted {len(found)}" if found else "Notes"


def capital(text: str) -> str:
    """A text that begins with a capital letter.

    Args:
        text: The text.
    """
    return text[:1].upper() + text[1:]
