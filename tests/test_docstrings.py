"""Docstrings: everything public has one, with its parameters and errors, in plain words.

The docstring of a command is its `--help` text, so a command explains its options in their own `help` instead.
"""

from __future__ import annotations

import ast
import inspect
import io
import re
import tokenize
from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, get_args, get_origin, get_type_hints

import pytest

from thermal import errors
from thermal.cli import app
from thermal.cli.climate_commands import climate_app

PACKAGE = Path(__file__).resolve().parent.parent / "thermal"
ONE_PAGE = "solver/reference.py"  # 200 lines at most: its opening page and field comments explain what it passes on
FOLDERS = ["", *sorted(folder.name for folder in PACKAGE.iterdir() if (folder / "__init__.py").exists())]
MANY = 3  # parameters from which a function must explain each of them
COMMANDS = {
    command.callback
    for group in (app, climate_app)
    for command in [*group.registered_commands, group.registered_callback]
    if command is not None and command.callback is not None
}
COMMAND_NAMES = {command.__name__ for command in COMMANDS}
ERRORS = {
    name: kind
    for name, kind in vars(errors).items()
    if inspect.isclass(kind) and issubclass(kind, errors.OverwinterError)
}
FORBIDDEN = {
    "march, for a simulation": r"\bmarch(?:e[sd]|ing)?\b|\bMarch(?:e[sd]|ing)\b",  # the month is allowed
    "fleet, for a batch": r"(?i)\bfleets?\b",
    "scene, for a case": r"(?i)\bscenes?\b",
    "drive, for the weather": r"(?i)\bdrives?\b",
    "draw, for a sample": r"(?i)\bdraws?\b|\bdrawn (?:from|of|at random)\b",
}

folders = pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder or "thermal")


def sources(folder: str) -> Iterator[tuple[str, str]]:
    """Name and text of each module in a folder of the package; "" for the modules beside the folders."""
    for path in sorted((PACKAGE / folder).glob("*.py")):
        yield str(path.relative_to(PACKAGE)), path.read_text("utf-8")


def public(tree: ast.AST, prefix: str = "") -> Iterator[tuple[str, ast.ClassDef | ast.FunctionDef]]:
    """Public classes and functions of a module by name, methods included."""
    for node in getattr(tree, "body", []):
        if isinstance(node, ast.ClassDef | ast.FunctionDef) and not node.name.startswith("_"):
            yield prefix + node.name, node
            if isinstance(node, ast.ClassDef):
                yield from public(node, f"{node.name}.")


def functions(name: str, text: str) -> Iterator[tuple[str, ast.FunctionDef]]:
    """Public functions of a module that are not commands."""
    for function_name, node in public(ast.parse(text)):
        is_command = name.startswith("cli") and function_name in COMMAND_NAMES
        if isinstance(node, ast.FunctionDef) and not is_command:
            yield f"{name} {function_name}", node


def section(docstring: str, title: str) -> str | None:
    """Text of a numpydoc section, None where there is none."""
    match = re.search(rf"^{title}\n-{{{len(title)}}}\n(.*?)(?=^\w+\n-{{3,}}\n|\Z)", docstring, re.MULTILINE | re.DOTALL)
    return match[1] if match else None


def explained(docstring: str) -> set[str]:
    """Names that the section Parameters explains: "low, high : Array" stands for two."""
    entries = re.findall(
        r"^(\*{0,2}\w+(?:, \*{0,2}\w+)*)(?= : |$)", section(docstring, "Parameters") or "", re.MULTILINE
    )
    return {name.lstrip("*") for entry in entries for name in entry.split(", ")}


def raised(function: ast.FunctionDef) -> set[str]:
    """Names of the package's errors that a function raises itself, also by way of a local name."""
    called = {
        target.id: node.value.func.id
        for node in ast.walk(function)
        if isinstance(node, ast.Assign) and isinstance(node.value, ast.Call) and isinstance(node.value.func, ast.Name)
        for target in node.targets
        if isinstance(target, ast.Name)
    }
    names = set()
    for node in ast.walk(function):
        if isinstance(node, ast.Raise) and node.exc is not None:
            error = node.exc.func if isinstance(node.exc, ast.Call) else node.exc
            if isinstance(error, ast.Name):
                names.add(called.get(error.id, error.id))
    return names & ERRORS.keys()


def undocumented(name: str, text: str) -> list[str]:
    """Module, public classes and public functions without a docstring."""
    nodes: list[tuple[str, ast.Module | ast.ClassDef | ast.FunctionDef]] = [("module", ast.parse(text))]
    return [f"{name} {kind}" for kind, node in [*nodes, *public(nodes[0][1])] if not ast.get_docstring(node)]


def unexplained(name: str, text: str) -> list[str]:
    """Parameters that a function of many does not explain, and explained names that no function has."""
    faults = []
    for place, node in functions(name, text):
        arguments = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs, node.args.vararg, node.args.kwarg]
        names = [argument.arg for argument in arguments if argument and argument.arg not in ("self", "cls")]
        known = explained(ast.get_docstring(node) or "")
        if len(names) >= MANY:
            faults += [f"{place}: {argument}" for argument in names if argument not in known]
        faults += [f"{place}: no parameter {argument}" for argument in sorted(known - set(names))]
    return faults


def unannounced(name: str, text: str) -> list[str]:
    """Errors that a function raises and whose class, or a base class of it, its section Raises does not name."""
    missing = []
    for place, node in functions(name, text):
        listed = set(re.findall(r"^\w+$", section(ast.get_docstring(node) or "", "Raises") or "", re.MULTILINE))
        for error in sorted(raised(node)):
            if not listed & {kind.__name__ for kind in ERRORS[error].__mro__}:
                missing.append(f"{place}: {error}")
    return missing


def odd_words(name: str, text: str) -> list[str]:
    """Forbidden words in docstrings and comments."""
    tree = ast.parse(text)
    kinds = ast.Module | ast.ClassDef | ast.FunctionDef
    prose = [ast.get_docstring(node) or "" for node in ast.walk(tree) if isinstance(node, kinds)]
    tokens = tokenize.generate_tokens(io.StringIO(text).readline)
    prose += [token.string for token in tokens if token.type == tokenize.COMMENT]
    return [
        f"{name}: {match[0]!r} ({word})"
        for word, pattern in FORBIDDEN.items()
        for item in prose
        for match in re.finditer(pattern, item)
    ]


@folders
def test_everything_public_has_a_docstring(folder: str) -> None:
    assert [fault for name, text in sources(folder) for fault in undocumented(name, text)] == []


@folders
def test_functions_of_three_parameters_or_more_explain_each(folder: str) -> None:
    assert [fault for name, text in sources(folder) if name != ONE_PAGE for fault in unexplained(name, text)] == []


@folders
def test_functions_list_the_errors_they_raise(folder: str) -> None:
    assert [fault for name, text in sources(folder) for fault in unannounced(name, text)] == []


@folders
def test_docstrings_and_comments_use_the_usual_terms(folder: str) -> None:
    assert [fault for name, text in sources(folder) for fault in odd_words(name, text)] == []


@pytest.mark.parametrize("command", sorted(COMMANDS, key=lambda command: command.__name__), ids=lambda c: c.__name__)
def test_commands_explain_every_option_in_its_help(command: object) -> None:
    hints = get_type_hints(command, include_extras=True)
    del hints["return"]
    for name, hint in hints.items():
        assert get_origin(hint) is Annotated, name
        assert any(getattr(extra, "help", None) for extra in get_args(hint)[1:]), name
    assert inspect.getdoc(command)


def test_every_folder_and_command_is_looked_at() -> None:
    assert {"", "physics", "solver", "report"} < set(FOLDERS)
    assert {"run", "start", "climate_fetch", "overwinter"} <= COMMAND_NAMES
    assert {"core/parallel.py", "api.py"} <= {name for folder in ("core", "") for name, _ in sources(folder)}


INCOMPLETE = '''
from thermal.errors import ClimateError, SizingError

class Node:
    def heat(self, power_w, hours, share, *rest):
        """Heat.  # a node marches on

        Parameters
        ----------
        power_w, hours, watts : float
            Power and time.

        Raises
        ------
        SizingError
            Never.
        """
        fault = ClimateError("cold")
        raise fault  # a draw

def cool(value):
    """Cooler in March.

    Raises
    ------
    OverwinterError
        Always.
    """
    raise SizingError(value)

def _hidden(a, b, c):
    raise SizingError(a)
'''


def test_the_checks_report_what_is_missing() -> None:
    assert undocumented("x.py", INCOMPLETE) == ["x.py module", "x.py Node"]
    assert unexplained("x.py", INCOMPLETE) == [
        "x.py Node.heat: share",
        "x.py Node.heat: rest",
        "x.py Node.heat: no parameter watts",
    ]
    assert unannounced("x.py", INCOMPLETE) == ["x.py Node.heat: ClimateError"]
    assert [fault.split("'")[1] for fault in odd_words("x.py", INCOMPLETE)] == ["marches", "draw"]
