"""Writes the table of checks in DEVELOPERS.md from the code and its tests: ``python tests/make_rule_table.py``."""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))

from tests.rule_marks import KINDS, WITHOUT, marked  # noqa: E402 - found by the path above

START, END = "<!-- checks -->", "<!-- end of checks -->"
NEEDS = {
    "survey": "the file as it was read", "traverse": "a table of bearings and distances",
    "feature": "columns of a file",
    "register": "ground-checked points, the mapped layer", "ground": "areas of ground, the catalogue",
    "line": "corners, gates and crossings of the lines", "division": "the divided outline, gates, water",
    "profile": "levels along the line, and where they are from", "sections": "sections, end assemblies, fence type",
    "loads": "posts, sections, fence type, ground classes", "materials": "takeoff, roll plan, prices, items",
    "stage": "stages, junctions", "option": "options", "boundary": "boundary with its accuracy, corners with theirs",
    "water": "water, flood extent, profile, crossings", "service": "services", "clearing": "vegetation, road reserve, "
    "protected areas, width to be cleared", "tree": "trees with their height", "oldfence": "standing fences with their "
    "condition", "haul": "profile, tracks, water", "network": "lines, standing fences, assemblies",
    "paddock": "lines, standing fences, gates, troughs, water, yards", "gate": "gates, profile, machine width, water",
    "electric": "live wires, junctions, energisers", "before": "clearances, features", "built": "records of the work",
}
"""Head of a rule id to what its check reads."""
FAILURES: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("built off the boundary", ("boundary-",)),
    ("wrong datum, zone or grid", ("survey-05", "survey-06", "survey-08", "survey-24", "survey-25", "survey-26",
                                   "register-")),
    ("corners and ends undersized", ("loads-03", "loads-06", "network-01")),
    ("a node without an assembly", ("sections-03", "sections-05")),
    ("dips that lift posts", ("loads-01", "loads-03")),
    ("grade breaks missed", ("profile-03", "profile-08", "profile-11")),
    ("horizontal length used", ("materials-02",)),
    ("too few rolls, joins in bad places", ("materials-01", "materials-03", "materials-10")),
    ("a run too long for its type or ground", ("sections-01", "sections-04")),
    ("kinks from sloppy tracing", ("line-01", "line-02", "line-09")),
    ("mesh wrong way up", ("straining sheet: small openings down",)),
    ("wires on the wrong side of posts", ("water-11", "water-13")),
    ("gates forgotten, too narrow, in the wrong place", ("paddock-01", "gate-", "line-55", "line-56")),
    ("a paddock without water", ("paddock-04", "paddock-05", "division-04")),
    ("fence washed out", ("water-01", "water-02", "water-1")),
    ("set-back breached", ("water-03",)),
    ("services hit", ("service-", "before the first post: services")),
    ("unlawful clearing, road reserve", ("clearing-",)),
    ("trees that fall, a live tree as a strainer", ("tree-",)),
    ("a shared fence counted twice, gaps", ("line-03", "line-10", "line-11", "line-12", "network-02")),
    ("length of a noisy track", ("line-50", "line-54", "built-02")),
    ("an old fence taken for sound", ("oldfence-",)),
    ("started before approval or agreement", ("before-01", "before the first post: every item")),
    ("wrong prices and packs", ("materials-04", "materials-05", "materials-06", "materials-08")),
    ("trailer too heavy, or cannot get there", ("materials-07", "materials-09", "haul-")),
    ("electric too weak, or not fed", ("electric-",)),
    ("a later fence cannot tie in", ("stage-01",)),
    ("acute pockets, long thin paddocks", ("line-08", "paddock-1", "division-02", "division-03")),
    ("a mapped creek, road or image lies beside its place", ("register-",)),
    ("bad coordinates", ("survey-01", "survey-02", "survey-03", "survey-04", "survey-07", "survey-09", "survey-10")),
)
"""What goes wrong on the ground, and the rules, sheets or lists that answer for it."""


@dataclass(frozen=True)
class Row:
    """One rule: its id, what it asks, what it reads, where its limit is from, and kind to a test that shows it."""

    rule: str
    what: str
    needs: str
    source: str
    tests: dict[str, str]


def rows() -> list[Row]:
    """Every rule of every table, by id."""
    sources, tests = dict(_sources()), marked()
    return [Row(rule, what, NEEDS[rule.partition("-")[0]], sources.get(rule, "see its module"), tests.get(rule, {}))
            for rule, what in sorted((rule, what) for _, rule, what in rules())]


def answered_by(row: tuple[str, tuple[str, ...]], known: set[str]) -> list[str]:
    """What answers for a failure: each head of rules as the rules that there are, other words as they are."""
    found: list[str] = []
    for head in row[1]:
        mine = sorted(rule for rule in known if rule.startswith(head))
        found += mine or ([head] if " " in head else [])
    return found


def text() -> str:
    """The tables as they stand in DEVELOPERS.md."""
    listed = rows()
    known = {row.rule for row in listed}
    lines = ["| what goes wrong | answered by |", "|---|---|"]
    lines += [f"| {row[0]} | {', '.join(answered_by(row, known))} |" for row in FAILURES]
    lines += ["", "| rule | what | data | limit from |", "|---|---|---|---|"]
    lines += [f"| {row.rule} | {row.what} | {row.needs} | {row.source} |" for row in listed]
    lines += ["", "| rule | a test that fires it | stays silent | at its limit | set aside |", "|---|---|---|---|---|"]
    lines += [f"| {row.rule} | {' | '.join(_shown(row, kind) for kind in KINDS)} |" for row in listed]
    return "\n".join(lines)


def lacking() -> dict[str, list[str]]:
    """Kind to the rules that no mark speaks of, of those that can be tried in that way."""
    known = sorted(rule for _, rule, _ in rules())
    marks = marked()
    return {kind: [rule for rule in known if kind not in marks.get(rule, {}) and rule not in WITHOUT.get(kind, {})]
            for kind in KINDS}


def _shown(row: Row, kind: str) -> str:
    """The test that shows one kind of a rule, or why there can be none."""
    return row.tests.get(kind) or WITHOUT.get(kind, {}).get(row.rule, "")


def _modules() -> Iterator[tuple[Path, ast.Module]]:
    for path in sorted((ROOT / "planner").rglob("*.py")):
        yield path, ast.parse(path.read_text(encoding="utf-8"))


def rules() -> Iterator[tuple[str, str, str]]:
    """Of every entry of a table named RULES: its module's name without ``planner.``, the rule id, what it says."""
    for path, tree in _modules():
        module = ".".join(path.relative_to(ROOT / "planner").with_suffix("").parts)
        for node in tree.body:
            target = node.targets[0] if isinstance(node, ast.Assign) else getattr(node, "target", None)
            if isinstance(target, ast.Name) and target.id == "RULES" and isinstance(node.value, ast.Dict):
                for key, value in zip(node.value.keys, node.value.values, strict=True):
                    yield module, ast.literal_eval(key), _said(value)  # type: ignore[arg-type]


def _said(value: ast.expr) -> str:
    words = value.args[0] if isinstance(value, ast.Call) else value
    said = "".join(ast.literal_eval(words).split("\n")).strip().rstrip(".")
    return said[:1].lower() + said[1:] if not said[:2].isupper() else said


def _sources() -> Iterator[tuple[str, str]]:
    """Rule and the name of the source that its finding carries; common practice where it names none."""
    for _, tree in _modules():
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Finding" and node.args \
                    and isinstance(node.args[0], ast.Constant):
                given = [keyword.value for keyword in node.keywords if keyword.arg == "source"]
                source = given[0] if given else node.args[5] if len(node.args) > 5 else None
                yield node.args[0].value, _source_words(source)


def _source_words(source: ast.expr | None) -> str:
    name = "COMMON_PRACTICE" if source is None else ast.unparse(source).rpartition(".")[2]
    return {"COMMON_PRACTICE": "common practice", "OWN_MODEL": "own model", "MECHANICS": "statics"}.get(
        name, name.strip("_").replace("_", " ").lower() if name.isupper() else "its finding says")


def main() -> int:
    """Puts the tables into DEVELOPERS.md, between their marks."""
    guide = ROOT / "DEVELOPERS.md"
    content = guide.read_text(encoding="utf-8")
    before, _, rest = content.partition(START)
    after = rest.partition(END)[2]
    guide.write_text(f"{before}{START}\n{text()}\n{END}{after}", encoding="utf-8")
    print(f"{len(rows())} rules")
    for kind, without in lacking().items():
        print(f"{kind}: {len(without)} lack it: {' '.join(without)}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
