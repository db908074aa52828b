"""Windows and macOS, as far as Linux can show them: workers are spawned, os.fork is gone, plans have CRLF line ends."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path, PureWindowsPath

import pytest

from tests.short_plan import write_short_plan
from thermal.analysis.design_study import design_study, study_results, uncertainty_of
from thermal.cli.output import print_path
from thermal.core import parallel
from thermal.plan.reader import read_plan
from thermal.report.plan_answer import case_of
from thermal.report.report_folder import report_folder

ROOT = Path(__file__).resolve().parents[1]
WITHOUT_FORK = """
import multiprocessing, os, sys
for name in ("fork", "forkpty", "sched_getaffinity"):
    if hasattr(os, name):
        delattr(os, name)
multiprocessing.set_start_method("spawn", force=True)
from thermal.core import parallel
parallel.START_METHOD = None  # the system's usual one, as on Windows and macOS
"""
COMMANDS = (
    ["check", "plan.toml"], ["run", "plan.toml", "--samples", "20"], ["outage", "plan.toml"], ["climate", "list"],
    ["compare", "plan.toml", "--budget", "100"], ["spread", "plan.toml", "--samples", "20", "--json", "spread.json"],
)  # fmt: skip
DRIVER = f"""{WITHOUT_FORK}
from thermal.cli import main
if __name__ == "__main__":
    for words in {COMMANDS!r}:
        sys.argv = ["overwinter", *words]
        try:
            main()
        except SystemExit as end:
            print(f"<{{words[0]}}: {{end.code or 0}}>")
"""
NO_GUARD = f"""{WITHOUT_FORK}
import thermal
from thermal.errors import OverwinterError
try:
    with thermal.processes() as pool:
        thermal.answer("plan.toml", samples=20, executor=pool)
except OverwinterError as fault:
    print("refused:", fault)
print(thermal.answer("plan.toml", samples=20))
print("workers:", len(multiprocessing.active_children()))
"""


def python(script: str, folder: Path) -> subprocess.CompletedProcess[str]:
    """A script run from a file in a folder, as people run theirs."""
    (folder / "script.py").write_text(script, "utf-8")
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    return subprocess.run(
        [sys.executable, "script.py"], cwd=folder, env=environment, capture_output=True, text=True, timeout=300
    )


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A folder with a plan of CRLF line ends, and its weather."""
    made = tmp_path_factory.mktemp("spawned")
    assert b"\r\n" in write_short_plan(made, newline="\r\n").read_bytes()
    return made


def test_the_main_commands_run_with_spawned_workers_and_without_fork(folder):
    done = python(DRIVER, folder)
    assert "Traceback" not in done.stderr, done.stderr
    assert re.findall(r"<(\w+): (\d+)>", done.stdout) == [(words[0], "0") for words in COMMANDS], done.stderr
    report = folder / "reports" / "plan-hours"
    assert {"report.html", "compare.html", "outage-card.html"} <= {path.name for path in report.iterdir()}
    shown = json.loads((folder / "spread.json").read_text("utf-8"))["bands"]["needed_w"]
    study = design_study(case_of(folder / "plan.toml"), samples=20)
    here = uncertainty_of(study, study_results(study)).bands["needed_w"]
    assert shown["middle"] == pytest.approx(here.middle, rel=1e-3)
    assert (shown["low"], shown["high"]) == pytest.approx((here.low, here.high), rel=1e-3)


def test_a_script_without_a_guard_gets_its_answer_and_no_workers(folder):
    """FINDINGS 19: such a script died of BrokenProcessPool. Workers asked for are refused in words."""
    done = python(NO_GUARD, folder)
    assert done.returncode == 0, done.stderr
    refused, answer, workers = done.stdout.strip().splitlines()
    assert refused.startswith("refused: The worker processes have ended early.")
    assert "__name__" in refused
    assert answer.startswith("<Answer 'Perch and lettuce in the workshop': heater needed ")
    assert workers == "workers: 0"


def test_no_call_of_the_library_starts_workers_unless_asked(monkeypatch):
    """Every call takes `executor`; without one, all blocks of any size are simulated here."""
    assert parallel.worker_count(None) == 1
    assert parallel.worker_count(parallel.SerialExecutor()) == 1
    for path in (ROOT / "thermal").rglob("*.py"):
        if "cli" not in path.parts and path.name != "parallel.py":
            assert "processes()" not in path.read_text("utf-8").replace("thermal.processes()", ""), path


def test_a_plan_of_crlf_lines_is_the_same_plan(folder, tmp_path):
    assert read_plan(folder / "plan.toml") == read_plan(write_short_plan(tmp_path))


def test_long_names_and_drive_letters(tmp_path, capsys):
    """A folder of a report holds no part of a path of the weather file, and stays short; a link may have a drive."""
    made = report_folder(tmp_path, tmp_path / f"{'long name ' * 24}.toml", r"C:\weather\My Town.csv")
    assert made.is_dir()
    assert made.name.endswith("-my-town")
    assert ":" not in made.name
    assert len(made.name.encode()) <= 203
    print_path("Report", PureWindowsPathThatIs(r"C:\reports\plan.html"), None)
    assert "file:///C:/reports/plan.html" in capsys.readouterr().out


class PureWindowsPathThatIs(PureWindowsPath):
    """A path of Windows that counts as resolved."""

    def resolve(self) -> PureWindowsPath:
        return PureWindowsPath(self)
