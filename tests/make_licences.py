"""Writes ``resources/LICENCES.md`` and ``.ci/locked.txt`` from what is installed: ``python tests/make_licences.py``."""

from __future__ import annotations

import re
import sys
from importlib.metadata import Distribution, PackageNotFoundError, distribution, distributions
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
OWN = "strainwright"
_NOT_LOCKED = {OWN, "pip", "setuptools", "wheel"}


def runtime() -> tuple[Distribution, ...]:
    """What the program needs to run, with what that needs in turn, by name; marks of other systems are left out."""
    found: dict[str, Distribution] = {}
    todo = [OWN]
    while todo:
        name = plain(todo.pop())
        if name in found:
            continue
        try:
            found[name] = distribution(name)
        except PackageNotFoundError:
            continue  # only for another system or another Python
        todo += [re.split(r"[ ;<>=!~\[(]", need, maxsplit=1)[0] for need in found[name].requires or ()
                 if "extra ==" not in need]
    del found[OWN]
    return tuple(found[name] for name in sorted(found))


def plain(name: str) -> str:
    """A package's name as indexes compare it."""
    return re.sub(r"[-_.]+", "-", name).lower()


def licence_of(package: Distribution) -> str:
    """What a package says of its licence: the expression, else the classifiers, else the first line of the text."""
    facts = package.metadata
    if facts.get("License-Expression"):
        return str(facts["License-Expression"])
    classified = [line.rpartition("::")[2].strip() for line in facts.get_all("Classifier") or ()
                  if line.startswith("License ::")]
    said = str(facts.get("License") or "").strip()
    if classified and classified != ["OSI Approved"]:
        return ", ".join(classified)
    return said.splitlines()[0].strip() if said else "not said; see its home page"


def text() -> str:
    """The list of licences."""
    rows = [f"| {package.metadata['Name']} | {package.version} | {licence_of(package)} |" for package in runtime()]
    return "\n".join([
        "# Licences", "", "What Strainwright needs to run, as installed when this list was made, and what each package "
        "says of its licence.", "Made by `python tests/make_licences.py`.", "", "| package | version | licence |",
        "|---|---|---|", *rows, "", "Qt for Python and Qt itself are used as shared libraries under the LGPL 3.", "",
        "Shipped with the program: the Source Sans Pro typeface, SIL Open Font License 1.1, in full in "
        "`fonts/SourceSansPro-OFL.txt`.", ""])


def locked() -> str:
    """Exact versions of everything in this environment, for ``pip install -c``."""
    names = {plain(package.metadata["Name"]): package for package in distributions()}
    return "\n".join(["# Exact versions that the tests last passed with: tests/make_licences.py writes them.",
                      *(f"{name}=={package.version}" for name, package in sorted(names.items())
                        if name not in _NOT_LOCKED), ""])


def main() -> int:
    """Writes both files."""
    (ROOT / "resources" / "LICENCES.md").write_text(text(), encoding="utf-8")
    (ROOT / ".ci" / "locked.txt").write_text(locked(), encoding="utf-8")
    print(f"{len(runtime())} packages at run time, {len(locked().splitlines()) - 1} locked")
    return 0


if __name__ == "__main__":
    sys.exit(main())
