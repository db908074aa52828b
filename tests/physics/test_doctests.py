"""Every law shows an example that runs, and says where it is from."""

from __future__ import annotations

import ast
import doctest
import importlib
import inspect
import pkgutil

import pytest

import thermal.physics

MODULES = [f"thermal.physics.{module.name}" for module in pkgutil.iter_modules(thermal.physics.__path__)]


def functions_of(module):
    members = inspect.getmembers(module, inspect.isfunction)
    return [law for name, law in members if law.__module__ == module.__name__ and not name.startswith("_")]


LAWS = [law for name in MODULES for law in functions_of(importlib.import_module(name))]


@pytest.mark.parametrize("name", MODULES)
def test_examples_run(name):
    result = doctest.testmod(importlib.import_module(name))
    assert result.failed == 0


@pytest.mark.parametrize("law", LAWS, ids=lambda law: f"{law.__module__.rsplit('.', 1)[1]}.{law.__name__}")
def test_every_law_has_an_example_a_source_and_units(law):
    text = inspect.getdoc(law) or ""
    assert ">>> " in text
    assert "\nSource: " in text
    for section in ("Parameters", "Returns", "Notes", "Examples"):
        assert f"\n{section}\n---" in text, section
    assert text.splitlines()[0].endswith("]"), "no unit in the first line"
    for parameter in inspect.signature(law).parameters:
        assert parameter in text.split("Returns\n")[0], parameter
    assert len(inspect.signature(law).parameters) <= 6


@pytest.mark.parametrize("name", MODULES)
def test_the_list_of_laws_names_every_module(name):
    assert f"  {name.rsplit('.', 1)[1]} " in thermal.physics.__doc__


@pytest.mark.parametrize("name", MODULES)
def test_laws_import_numpy_the_standard_library_and_each_other(name):
    tree = ast.parse(inspect.getsource(importlib.import_module(name)))
    imported = {node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    imported |= {alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names}
    own = {module for module in imported if module.startswith("thermal.")}
    assert own <= {"thermal.core.arrays", *MODULES}
    assert imported - own <= {"__future__", "math", "dataclasses", "collections.abc", "numpy", "numpy.typing"}
