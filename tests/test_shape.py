"""The shape of the house: imports point downwards, modules and functions stay small."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parent.parent / "thermal"
LEVELS = (
    {"errors", "air", "plan"},
    {"units", "tables", "files", "paths", "rows"},
    {"layers", "network", "elimination", "prices", "factors"},
    {"written", "exchange"},
    {"entries"},
    {"resolve", "envelope"},
    {"planfile", "assemble", "state", "climate"},
    {"step"},
    {"prepare", "ledger", "trace", "watch"},
    {"march", "accounts"},
    {"study", "scene", "start", "painter"},
    {"decisions"},
    {"report", "notebook"},
    {"shown"},
    {"cli_climate"},
    {"cli"},
    {"__main__", "__init__"},
)
LEVEL = {name: level for level, names in enumerate(LEVELS) for name in names}
FILES = sorted(PACKAGE.rglob("*.py"))


def room(path: Path) -> str:
    inside = path.relative_to(PACKAGE)
    return inside.parts[0].removesuffix(".py")


@pytest.mark.parametrize("path", FILES, ids=[str(path.relative_to(PACKAGE)) for path in FILES])
def test_imports_point_down(path):
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        names = []
        if isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[0] == "thermal":
            parts = (node.module or "").split(".")
            names = [parts[1]] if len(parts) > 1 else [alias.name for alias in node.names if alias.name in LEVEL]
        for name in names:
            assert name == room(path) or LEVEL[name] < LEVEL[room(path)], f"{path.name} imports {name}"


@pytest.mark.parametrize("path", FILES, ids=[str(path.relative_to(PACKAGE)) for path in FILES])
def test_modules_and_functions_stay_small(path):
    text = path.read_text("utf-8")
    assert len(text.splitlines()) <= 400
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef):
            first = node.body[1] if ast.get_docstring(node) and len(node.body) > 1 else node.body[0]
            assert node.end_lineno - first.lineno < 50, f"{node.name} is too long"


def test_physics_knows_no_pandas():
    for name in (
        "air",
        "paths",
        "network",
        "exchange",
        "elimination",
        "state",
        "step",
        "prepare",
        "ledger",
        "trace",
        "march",
    ):
        for path in FILES:
            if room(path) == name:
                assert "pandas" not in path.read_text("utf-8")


def test_every_mutation_still_finds_its_line():
    from tests.mutations import ROOT, TERMS

    assert len(TERMS) == 10
    for file, old, new in TERMS.values():
        assert (ROOT / file).read_text("utf-8").count(old) == 1
        assert old != new
