"""The commands `table` and `map` as a user types them: files, exit codes, going on, and Ctrl-C."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import pytest
from typer.testing import CliRunner

from tests.cli.small_tables import ROOT, TANK, short_climate
from thermal.analysis import shared_batch
from thermal.cli import app
from thermal.cli.table_command import exit_code, split_values, sweep_values
from thermal.core import parallel
from thermal.errors import INTERNAL, ClosureError, OverwinterError
from thermal.report.row_files import CSV, read_rows


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "tank.toml").write_text(TANK)
    for name, north in (("north", 55.0), ("south", 45.0)):
        short_climate(tmp_path, name, (north, 6.0))
    return tmp_path


def overwinter(*arguments):
    return CliRunner().invoke(app, arguments)


TABLE = "table", "tank.toml", "--climate", "north.csv", "--climate", "south.csv", "--samples", "0"


def test_a_table_is_written_gone_on_with_and_drawn(folder):
    done = overwinter(*TABLE, "--csv", "t.csv", "--html", "t.html", "--units", "us")
    assert "coldest water, unheated (°F)" in (folder / "t.html").read_text("utf-8")
    assert done.exit_code == 0, done.output
    rows = read_rows(folder / "t.csv", CSV)
    assert [row.climate for row in rows] == ["north.csv", "south.csv"]
    assert all(row.heater_needed_w > 100 and row.verdict == "yes" for row in rows)
    again = overwinter(*TABLE, "--csv", "t.csv")
    assert isinstance(again.exception, OverwinterError)
    lines = (folder / "t.csv").read_text().splitlines(keepends=True)
    (folder / "t.csv").write_text(lines[0] + lines[2] + lines[1][:30])  # broken off in the middle of a line
    resumed = overwinter(*TABLE, "--csv", "t.csv", "--resume")
    assert "1 row in" in resumed.output
    assert (folder / "t.csv").read_text() == "".join(lines)
    (folder / "tank.toml").write_text(TANK.replace("10 degC", "12 degC"))  # another plan: nothing of it is there
    changed = overwinter(*TABLE, "--csv", "t.csv", "--resume")
    assert "2 rows of other plans, weather files or settings: left out" in changed.output
    assert read_rows(folder / "t.csv", CSV)[0].heater_needed_w > rows[0].heater_needed_w
    drawn = overwinter("map", "t.csv", "--value", "outage_h", "--out", "map.png")
    assert drawn.exit_code == 0, drawn.output
    assert (folder / "map.png").read_bytes().startswith(b"\x89PNG")


def test_a_faulty_plan_ends_with_2_and_the_others_are_answered(folder):
    (folder / "bad.toml").write_text(TANK.replace("diameter", "diametre"))
    done = overwinter(*TABLE, "bad.toml", "--json", "out.json")
    assert done.exit_code == 2
    assert "did you mean 'diameter'" in done.output
    rows = json.loads((folder / "out.json").read_text())["rows"]
    assert [bool(row["fault"]) for row in rows] == [False, False, True, True]
    assert rows[0]["heater_needed_w"] > 0


def test_a_fault_of_the_program_ends_with_1_and_the_others_are_answered(folder, monkeypatch):
    """The row says what failed; 2 is for mistakes in what was given (README, exit codes)."""
    closed = shared_batch.figures_of_plans

    def one_open(cases, samples, seed):
        if any(case.plan.keep.floor_c > 11.0 for case in cases):
            raise ClosureError(f"{INTERNAL} energy balance is off")
        return closed(cases, samples, seed)

    monkeypatch.setattr(shared_batch, "figures_of_plans", one_open)
    monkeypatch.setattr(parallel, "processes", lambda: ThreadPoolExecutor(1))
    done = overwinter(*TABLE, "--set", "keep.floor=10 degC,12 degC", "--csv", "t.csv")
    assert done.exit_code == 1
    assert "! tank.toml: Internal error: energy balance is off (2 rows)" in done.output
    rows = read_rows(folder / "t.csv", CSV)
    assert [(row.fault != "", row.heater_needed_w is None) for row in rows] == [(False, False)] * 2 + [(True, True)] * 2
    assert exit_code([*rows, replace(rows[0], fault="keep, floor: no temperature")]) == 1
    assert exit_code(rows[:2]) == 0


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (("--set", "keep.floor"), "write a key of the plan and its values"),
        (("--set", "keep.floor=1,,2"), "write a key of the plan and its values"),
        (("--set", "keep.floor=1", "--set", "keep.floor=2"), "is given twice"),
        (("--samples", "5"), "write 0, or at least 20"),
        (("--resume", "--force"), "either --resume or --force"),
        (("--executor", "tcp://host:8786"), "dask:tcp://host:8786"),
        (("--climate", "goldn-co"), "did you mean 'golden-co'"),
        (("none.toml",), "no such plan file"),
        (("--units", "french"), "metric"),
    ],
)
def test_mistakes_are_told_before_any_work(folder, more, words):
    done = overwinter(*TABLE, *more)
    assert isinstance(done.exception, OverwinterError)
    assert words in str(done.exception)


def test_a_map_of_something_else_is_refused(folder):
    (folder / "t.xlsx").write_text("x")
    (folder / "other.csv").write_text("a,b\n1,2\n")
    remedies = ("give the CSV file", "cannot be read", "make one with overwinter table PLAN --csv FILE")
    for name, words in zip(("t.xlsx", "none.csv", "other.csv"), remedies, strict=True):
        done = overwinter("map", name)
        assert words in str(done.exception)


def test_values_are_split_at_commas_outside_quotes_and_brackets():
    assert split_values("tight, ordinary") == ["tight", " ordinary"]
    assert split_values('["a", "b"],"x,y",3') == ['["a", "b"]', '"x,y"', "3"]
    assert sweep_values(["a.b=1,2,1"]) == {"a.b": ["1", "2"]}


def test_ctrl_c_stops_and_keeps_finished_rows(folder):
    floors = ",".join(f"{tenth / 10} degC" for tenth in range(50, 250))
    command = [sys.executable, "-m", "thermal", *TABLE, "--set", f"keep.floor={floors}", "--csv", "t.csv"]
    file = folder / "t.csv"
    process = subprocess.Popen(
        command,
        cwd=folder,
        env={"PYTHONPATH": str(ROOT)},
        stderr=subprocess.PIPE,
        text=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # where the tests run in the background
    )
    while not (file.exists() and file.read_text().count("\n") > 1):
        time.sleep(0.02)
        assert process.poll() is None
    process.send_signal(signal.SIGINT)
    began = time.monotonic()
    _, errors = process.communicate(timeout=60)
    assert time.monotonic() - began < 6  # 2 s on a computer with nothing else to do
    assert process.returncode == 130
    assert "--resume goes on" in errors
    assert "Traceback" not in errors
    rows = read_rows(file, CSV)
    assert 1 <= len(rows) < 400
    assert file.read_text().count("\n") == len(rows) + 1
