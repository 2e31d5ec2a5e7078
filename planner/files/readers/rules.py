"""The rules that reading keeps, and the list that collects what was broken where. Nothing is dropped in silence."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from planner.findings import Finding, Place, Severity
from planner.sources import COMMON_PRACTICE, Source

_FEATURES = Source("OGC Simple Feature Access, Part 1: Common architecture", "06-103r4 (1.2.1)", "polygons")
_LONG_LAT = Source("WGS 84, EPSG Geodetic Parameter Dataset", place="EPSG:4326")
_SHOWN = 20


@dataclass(frozen=True, slots=True)
class Rule:
    """What a rule asks, how bad it is to break it, and the usual remedy.

    Attributes:
        meaning: What must hold, as one sentence.
        severity: How bad it is when it does not hold.
        remedy: What to do, unless the finding knows better.
        source: Where the rule comes from.
    """

    meaning: str
    severity: Severity
    remedy: str
    source: Source = COMMON_PRACTICE


RULES: dict[str, Rule] = {
    "survey-40": Rule("A feature has a shape.", "warning", "Look at the row in the program that wrote the file."),
    "survey-41": Rule("A line has two different corners.", "warning", "Draw or walk the line again if it is wanted."),
    "survey-42": Rule(
        "A ring has three different corners.", "warning", "Draw the ring again if it is wanted.", _FEATURES
    ),
    "survey-43": Rule(
        "A position is a finite number.", "error", "Give the corner its position, or check the line without it."
    ),
    "survey-44": Rule(
        "A position lies where its coordinate system can reach.",
        "error",
        "Check the position and the coordinate system of the file.",
        _LONG_LAT,
    ),
    "survey-45": Rule("No corner stands on the corner before it.", "note", "Nothing needs doing: one of each is kept."),
    "survey-46": Rule(
        "A level is one that ground can have.", "warning", "Check the levels; those are taken as not given."
    ),
    "survey-47": Rule("A level of exactly 0.0 everywhere is a level.", "note", "Give ground levels from another file."),
    "survey-48": Rule(
        "A ring does not cross itself.",
        "error",
        "Move the corners so that the line does not cross; its area cannot be relied on.",
        _FEATURES,
    ),
    "survey-49": Rule(
        "A ring is wide enough to hold stock.", "warning", "Leave the sliver out if it is a drawing slip."
    ),
    "survey-50": Rule(
        "A ring does not run out and back over itself.", "warning", "Check that no fence was meant there.", _FEATURES
    ),
    "survey-51": Rule(
        "A ring ends where it starts.", "warning", "Check the side from the last corner to the first.", _FEATURES
    ),
    "survey-52": Rule(
        "A ring inside another is wound as a hole.",
        "warning",
        "Check that it is a hole, such as a dam or a clump.",
        _FEATURES,
    ),
    "survey-53": Rule(
        "Parts of one feature lie apart.",
        "warning",
        "Keep one fence where two rings run together, and count no area twice.",
        _FEATURES,
    ),
    "survey-54": Rule(
        "A polygon keeps the other rules of polygons.", "warning", "Check the ring on the map.", _FEATURES
    ),
    "survey-55": Rule("A row can be read.", "error", "Mend that row in the program that wrote the file."),
    "survey-56": Rule(
        "A file is whole.", "error", "Copy or export the file again; what came before the break is kept."
    ),
    "survey-57": Rule("A file says how its letters are written.", "note", "Check names with letters outside a to z."),
    "survey-58": Rule("A file has all its companions.", "note", "Copy all files of the same name together."),
    "survey-59": Rule("A file states one coordinate system.", "warning", "Say which coordinate system it is in."),
    "survey-60": Rule("All of a file is read.", "note", "Give that part as a file of its own if it is wanted."),
    "survey-61": Rule("Numbers are written with a decimal point.", "warning", "Check that the numbers were meant so."),
    "survey-62": Rule("A table says what its columns are.", "warning", "Name the columns if this is not so."),
    "survey-63": Rule(
        "Angles are in decimal degrees.",
        "warning",
        'Say angles = "packed-dms" if they are degrees, minutes and seconds written together, else angles = "decimal".',
    ),
    "survey-64": Rule(
        "A drawing is in metres.", "warning", 'Say unit = "mm", "ft" or another if the numbers are not metres.'
    ),
    "survey-65": Rule(
        "Two neighbouring corners are within reach of a day's work.", "error", "Take out the corner that jumped."
    ),
    "survey-66": Rule("Times run forward.", "note", "Times are not used to sort the points."),
    "survey-67": Rule("A file is what its name says.", "note", "Give the file the ending of what it holds."),
    "survey-68": Rule("A file defines no words of its own.", "warning", "Nothing needs doing unless names look wrong."),
    "survey-69": Rule("Reading loses nothing.", "note", "Nothing needs doing unless that part is wanted."),
    "survey-70": Rule("Levels are in metres.", "note", "Say --columns level-unit=ft, us-ft or m if that is not so."),
}


class Troubles:
    """What was wrong in one file, in the order it was met.

    Args:
        file: Path as given.
        layer: Layer or member of the file; named in each message when not empty.
    """

    def __init__(self, file: str, layer: str = "") -> None:
        self.file, self.layer = file, layer
        self._found: list[Finding] = []

    def add(
        self,
        rule: str,
        message: str,
        *,
        row: int | None = None,
        line: str = "",
        at: Sequence[float] | None = None,
        remedy: str = "",
        severity: Severity | None = None,
    ) -> None:
        """Notes one broken rule.

        Args:
            rule: A key of `RULES`.
            message: What was found, as one sentence.
            row: Feature, track, entity or line of text, counted from 1.
            line: Name of the line it is about.
            at: Position, east and north, in the file's own units.
            remedy: What to do, when the rule's own remedy does not fit.
            severity: How bad, when this case differs from the rule's own.
        """
        known = RULES[rule]
        text = f"layer {self.layer}: {message}" if self.layer else message
        place = Place(
            line=line,
            file=self.file,
            row=row,
            x=None if at is None else float(at[0]),
            y=None if at is None else float(at[1]),
        )
        self._found.append(Finding(rule, severity or known.severity, text, remedy or known.remedy, place, known.source))

    def findings(self) -> tuple[Finding, ...]:
        """All of them; of one rule and severity at most twenty in full, then one finding that names the other rows."""
        shown: list[Finding] = []
        rest: dict[tuple[str, str], list[Finding]] = {}
        count: dict[tuple[str, str], int] = {}
        for found in self._found:
            key = (found.rule, found.severity)
            count[key] = count.get(key, 0) + 1
            if count[key] <= _SHOWN:
                shown.append(found)
            else:
                rest.setdefault(key, []).append(found)
        for (rule, _), more in rest.items():
            rows = _runs(sorted({f.place.row for f in more if f.place.row is not None}))
            also = f"the same ({RULES[rule].meaning[:-1].lower()}) is broken {len(more)} more times"
            message = f"{also}, in rows {rows}." if rows else f"{also}."
            message = f"layer {self.layer}: {message}" if self.layer else message
            shown.append(Finding(rule, more[0].severity, message, more[0].remedy, more[0].place, more[0].source))
        return tuple(shown)



def _runs(rows: list[int]) -> str:
    texts: list[str] = []
    start = last = None
    for row in [*rows, None]:
        if last is not None and row == last + 1:
            last = row
            continue
        if start is not None:
            texts.append(str(start) if start == last else f"{start} to {last}")
        start = last = row
    return ", ".join(texts)
