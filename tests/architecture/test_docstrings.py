"""Public names say what they give, in which unit, and from which source."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

PLANNER = Path(__file__).resolve().parents[2] / "planner"
ROOMS_WITH_SOURCES = ("loads", "sections", "profile", "materials", "geometry")
LONGEST_FUNCTION, LONGEST_MODULE = 60, 400


def modules() -> list[Path]:
    return sorted(path for path in PLANNER.rglob("*.py") if not path.is_relative_to(PLANNER / "_resources"))


@pytest.mark.parametrize("path", modules(), ids=lambda p: str(p.relative_to(PLANNER)))
def test_module_is_documented_and_small(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    tree = ast.parse(text)
    assert ast.get_docstring(tree), "a module says what it is for"
    assert text.count("\n") <= LONGEST_MODULE
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            told = ast.get_docstring(node, clean=False) or ""
            length = (node.end_lineno or 0) - node.lineno - told.count("\n")
            assert length < LONGEST_FUNCTION, f"{node.name} is too long"


@pytest.mark.parametrize("path", [p for p in modules() if p.parent.name in ROOMS_WITH_SOURCES],
                         ids=lambda p: str(p.relative_to(PLANNER)))
def test_public_functions_tell_their_arguments(path: Path) -> None:
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            doc = ast.get_docstring(node) or ""
            arguments = [a.arg for a in (*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs)]
            assert not arguments or "Args:" in doc, f"{node.name} does not tell its arguments"
            for name in arguments:
                assert f"{name}:" in doc, f"{node.name} does not tell '{name}'"
