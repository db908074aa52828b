"""What a command loads before it works: modules that it does not need cost up to half a second each."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.short_plan import write_short_plan

ROOT = Path(__file__).resolve().parents[2]
HEAVY = {"jinja2", "matplotlib", "multiprocessing", "numpy", "pandas", "pint", "pydantic"}
SCRIPT = """
import sys
from thermal.cli import main
sys.argv = ["overwinter", *{words!r}]
try:
    main()
except SystemExit as end:
    assert not end.code, end.code
print(*({heavy!r} & sys.modules.keys()), file=sys.stderr)
"""


@pytest.fixture(scope="module")
def plan(tmp_path_factory) -> Path:
    return write_short_plan(tmp_path_factory.mktemp("plan"))


@pytest.mark.parametrize(
    ("command", "needed"),
    [
        ("--version", set()),
        ("run --help", {"pydantic"}),  # typer itself asks whether it is installed
        ("check --schema", {"numpy", "pydantic"}),
        ("check PLAN", {"multiprocessing", "numpy", "pandas", "pydantic"}),
        ("heater PLAN", {"multiprocessing", "numpy", "pandas", "pydantic"}),
    ],
)
def test_a_command_loads_only_what_it_needs(command, needed, plan):
    words = [str(plan) if word == "PLAN" else word for word in command.split()]
    script = SCRIPT.format(words=words, heavy=HEAVY)
    done = subprocess.run([sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, timeout=60)
    assert done.returncode == 0, done.stderr
    assert set(done.stderr.splitlines()[-1].split()) <= needed
