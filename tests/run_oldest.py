"""Install exactly the declared minimum of every dependency, or the newest, and run a quick part of the tests.

    python -m tests.run_oldest            the oldest versions that pyproject.toml allows
    python -m tests.run_oldest --newest   the newest that pip finds

It makes a virtual environment with the Python that runs it, in a temporary folder, and takes about two minutes. The
libraries of the `test` extra are those that pip finds; they check the package and are no part of it.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
import tomllib
import venv
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
TESTS = (
    "tests/test_api.py", "tests/plan", "tests/core", "tests/data", "tests/physics", "tests/climate/test_dataset.py",
    "tests/climate/test_file_forms.py", "tests/solver/test_linear_solve.py", "tests/report/test_inert_text.py",
    "tests/report/test_row_files.py", "tests/cli/test_table_cluster.py",
)  # fmt: skip
EXTRAS = ("xlsx", "parquet", "cluster")
COMMANDS = (
    ("--help",),
    ("--version",),
    ("climate", "list"),
    ("check", "workshop-metric"),
    ("run", "workshop-metric", "--samples", "20"),
)


def declared() -> dict[str, Any]:
    """The project's table of pyproject.toml."""
    table: dict[str, Any] = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    return table


def requirements(oldest: bool) -> list[str]:
    """The runtime dependencies and the extras of tables, each with exactly its declared minimum or as declared."""
    project = declared()
    extras = [text for name in EXTRAS for text in project["optional-dependencies"][name]]
    needed: list[str] = [*project["dependencies"], *extras]
    return [re.sub(r">=([\d.]+).*", r"==\1", text) for text in needed] if oldest else needed


def extra(name: str) -> list[str]:
    """What an extra needs; where it names other extras of the project, what those need."""
    every, needed = declared(), []
    for text in every["optional-dependencies"][name]:
        own = re.fullmatch(rf"{every['name']}\[(.*)\]", text)
        needed += [part for other in own[1].split(",") for part in extra(other.strip())] if own else [text]
    return needed


def main() -> int:
    """Exit code 0 where every command and test passes."""
    oldest = "--newest" not in sys.argv[1:]
    with tempfile.TemporaryDirectory() as folder:
        venv.create(Path(folder) / "venv", with_pip=True)
        python = str(Path(folder) / "venv" / ("Scripts/python.exe" if sys.platform == "win32" else "bin/python"))
        tools = extra("test")
        upgrade = [] if oldest else ["--upgrade"]
        subprocess.run([python, "-m", "pip", "install", "-q", *upgrade, *requirements(oldest), *tools], check=True)
        subprocess.run([python, "-m", "pip", "list"], check=True)
        environment = {"PYTHONPATH": str(ROOT), "PATH": str(Path(python).parent)}
        for command in COMMANDS:
            subprocess.run([python, "-m", "thermal", *command], cwd=folder, env=environment, check=True)
        refused = subprocess.run([python, "-m", "thermal", "check", "nope.toml"], cwd=folder, env=environment)
        if refused.returncode != 2:
            print(f"check nope.toml: exit code {refused.returncode}, not 2")
            return 1
        options = ["-n", "0", "-p", "no:cacheprovider", "--no-cov", "-W", "default"]
        return subprocess.run([python, "-m", "pytest", *options, *TESTS], cwd=ROOT, env=environment).returncode


if __name__ == "__main__":
    sys.exit(main())
