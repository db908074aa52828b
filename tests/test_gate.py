"""The gate itself: README's two commands are found or missed loudly, the tools are pinned, the version stands once."""

from __future__ import annotations

import importlib.metadata
import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

import thermal
from tests import fuzz
from thermal.core.version import NOT_INSTALLED, installed_version

ROOT = Path(__file__).resolve().parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
ONE, TWO, THREE = (f"```sh\necho {word}\n```\n" for word in ("one", "two", "three"))


def extract(text: str, folder: Path) -> subprocess.CompletedProcess[str]:
    """What the gate's step makes of a README."""
    (folder / "README.md").write_text(text, "utf-8")
    command = [sys.executable, str(ROOT / ".ci" / "readme-commands"), "README.md"]
    return subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=60)


@pytest.mark.parametrize(
    "text",
    [
        f"# Planner\n\n## Set up\n\nPython 3.11.\n\n{ONE}\nThen:\n\n{TWO}\n## Use\n\n{THREE}",
        f"## Install\n{ONE}### Windows\n```powershell\necho no\n```\n```text\n## not a heading\n```\n{TWO}",
        f"## Installation on any system\n```sh\necho one\n\necho two\n```\n# Use\n{THREE}",
        f"## Use\n```sh\n## Set up\n```\n## Set up\n```sh\necho \\\n  one\n```\n{TWO}",
    ],
    ids=["two blocks", "other languages", "one block", "continued line"],
)
def test_two_commands_are_found(text, tmp_path):
    done = extract(text, tmp_path)
    assert done.returncode == 0, done.stderr
    assert [line.split() for line in done.stdout.splitlines()] == [["echo", "one"], ["echo", "two"]]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "one heading must begin"),
        ("## Set up\n\nNothing.\n", "found 0"),
        (f"## Set up\n{ONE}", "found 1"),
        (f"## Set up\n{ONE}{TWO}{THREE}", "found 3"),
        (f"## Set up\n{ONE}### Later\n{TWO}{THREE}", "found 3"),
        (f"## Get going\n{ONE}{TWO}", "one heading must begin"),
        (f"## Set up\n{ONE}## Install\n{TWO}", "one heading must begin"),
        (f"## Set up\n{ONE}## Use\n{TWO}", "found 1"),
        (f"## Set up\n{ONE}{TWO}".replace("```sh", "```text"), "found 0"),
        (f"## Set up\n{ONE}```sh\necho two\n", "not closed"),
    ],
    ids=["empty", "none", "one", "three", "three, one deeper", "renamed", "twice", "elsewhere", "text", "not closed"],
)
def test_anything_else_fails_with_a_sentence(text, says, tmp_path):
    done = extract(text, tmp_path)
    assert done.returncode == 1
    assert done.stdout == ""
    assert done.stderr.startswith("README.md: ")
    assert says in done.stderr


def test_a_readme_that_is_not_there_fails(tmp_path):
    command = [sys.executable, str(ROOT / ".ci" / "readme-commands"), "README.md"]
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, timeout=60)
    assert done.returncode == 1
    assert "README.md" in done.stderr


def test_todays_readme_installs_and_tests(tmp_path):
    first, second = extract((ROOT / "README.md").read_text("utf-8"), tmp_path).stdout.splitlines()
    assert "pip install" in first
    assert "pytest" in second


def test_the_gate_stops_where_the_commands_are_missing(tmp_path):
    """The gate on a project whose README has no set-up heading: no command runs, no tool is reached, exit code 1."""
    project = tmp_path / "project"
    (project / ".ci").mkdir(parents=True)
    for name in ("run", "readme-commands"):
        (project / ".ci" / name).write_bytes((ROOT / ".ci" / name).read_bytes())
        (project / ".ci" / name).chmod(0o755)
    (project / "README.md").write_text(f"## Get going\n{ONE}{TWO}", "utf-8")
    programs = tmp_path / "programs"  # stand-ins, so that nothing is installed
    programs.mkdir()
    stand_ins = {
        "chromium": "exit 0",
        "git": 'cp -r "$3" "$4"',  # git clone -q FROM TO
        "python3": 'if [ "$1" = -m ]; then mkdir -p "$3/bin"; touch "$3/bin/activate"; else exec "$PYTHON" "$@"; fi',
    }
    for name, line in stand_ins.items():
        (programs / name).write_text(f"#!/bin/sh\n{line}\n", "utf-8")
        (programs / name).chmod(0o755)
    environment = {**os.environ, "PATH": f"{programs}:{os.environ['PATH']}", "PYTHON": sys.executable}
    done = subprocess.run(
        [project / ".ci" / "run"], env=environment, stdin=subprocess.DEVNULL, capture_output=True, text=True, timeout=60
    )
    assert done.returncode == 1
    assert "one heading must begin" in done.stderr
    assert "+ " not in done.stdout


def test_the_developers_tools_are_pinned():
    tools = PROJECT["project"]["optional-dependencies"]["dev"]
    assert {re.fullmatch(r"([a-z-]+)==\d+\.\d+\.\d+", tool)[1] for tool in tools} == {"mypy", "ruff"}


def test_hooks_fetch_nothing_and_run_the_gates_tools():
    text = (ROOT / ".pre-commit-config.yaml").read_text("utf-8")
    gate = (ROOT / ".ci" / "run").read_text("utf-8")
    entries = re.findall(r"^ +entry: (.+)$", text, re.MULTILINE)
    assert re.findall(r"\brepo: (.+)$", text, re.MULTILINE) == ["local"]
    assert re.findall(r"\blanguage: (.+)$", text, re.MULTILINE) == ["system"] * len(entries)
    commands = re.findall(r"^((?:ruff|mypy)\b.*?)(?: \.)?$", gate, re.MULTILINE)
    assert sorted(entry.replace(" --force-exclude", "") for entry in entries) == sorted(commands)
    assert len(commands) == 3


def test_coverage_measures_the_package_that_the_tests_import():
    assert Path(thermal.__file__).parent == ROOT / PROJECT["tool"]["coverage"]["run"]["source"][0]


def version_shown(folder: Path, *more: Path) -> str:
    """What `--version` says in a process of its own, with folders ahead of all others on Python's path."""
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(str(path) for path in (*more, ROOT))}
    command = [sys.executable, "-m", "thermal", "--version"]
    done = subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, timeout=60)
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_the_version_is_the_installed_packages(tmp_path):
    try:
        installed = importlib.metadata.version("overwinter")
    except importlib.metadata.PackageNotFoundError:
        pytest.skip("the package is not installed")
    assert version_shown(tmp_path) == f"overwinter {installed}\n"
    assert thermal.__version__ == installed
    assert installed == PROJECT["project"]["version"], "install this tree again"


def test_the_version_comes_from_the_metadata_alone(tmp_path):
    metadata = tmp_path / "overwinter-98.7.6.dist-info" / "METADATA"
    metadata.parent.mkdir()
    metadata.write_text("Metadata-Version: 2.4\nName: overwinter\nVersion: 98.7.6\n", "utf-8")
    assert version_shown(tmp_path, tmp_path) == "overwinter 98.7.6\n"


def test_a_source_tree_that_was_never_installed_has_no_version(monkeypatch):
    def missing(name: str) -> str:
        raise importlib.metadata.PackageNotFoundError(name)

    monkeypatch.setattr(importlib.metadata, "version", missing)
    assert installed_version() == thermal.__version__ == NOT_INSTALLED
    assert fuzz.ended("--version") == (0, f"overwinter {NOT_INSTALLED}\n", "")


def test_the_version_is_written_in_one_place():
    version = PROJECT["project"]["version"]
    assert [path for path in (ROOT / "thermal").rglob("*.py") if f'"{version}"' in path.read_text("utf-8")] == []


def test_the_version_needs_no_heavy_import():
    script = "import sys, thermal; thermal.__version__; print(*{'numpy', 'pandas', 'pydantic'} & sys.modules.keys())"
    done = subprocess.run([sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, timeout=60)
    assert (done.returncode, done.stdout.strip()) == (0, ""), done.stderr
