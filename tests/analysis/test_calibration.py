"""Fits to made-up loggers whose truth is known, and refusals."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from tests import fuzz
from thermal.analysis.calibration import calibrate
from thermal.analysis.case import hours_of, scene_of
from thermal.climate.logger_csv import Log, read_log
from thermal.errors import OverwinterError
from thermal.physics.lumped_cooling import steady_conductance, time_constant
from thermal.plan.calibration_factors import apply_factors
from thermal.plan.model import Factors, Plan
from thermal.plan.reader import plan_of, read_plan
from thermal.report.calibration_text import fitted_plan

TRUTH = Factors(room=1.3, mass=1.2, water=0.8)
DAYS, FROM_DAY = 21, 70


def made_up_log(plan: Plan, factors: Factors) -> Log:
    """Three weeks out of the first winter, simulated for a plan with other walls, masses and tanks."""
    case = scene_of(apply_factors(plan, factors))
    run = case.simulate(case.heaters(np.array([900.0])), hourly_output=True)
    hours, part = hours_of(case, run, 0, 0), slice(24 * FROM_DAY, 24 * (FROM_DAY + DAYS))
    tank = hours.hourly_output.water_c[:, -1, hours.column]
    return Log(
        times=case.weather.winters[0].times()[part],
        outdoor_c=hours.outdoor_c[part],
        room_c=hours.mean(case.network.nodes.index("air"))[part],
        water_c=(0.5 * (tank + np.append(tank[0], tank[:-1])))[part],
        heater_w=hours.hourly_output.heater_w[part, hours.column],
    )


@pytest.fixture(scope="module")
def truth(case_with):
    plan = case_with({"climate.winters": [2016]}).plan
    return plan, made_up_log(plan, TRUTH)


def noisy(log: Log, seed: int) -> Log:
    """0.2 K of noise and 3 % missing."""
    stream, series = np.random.default_rng(seed), {}
    for name in ("room_c", "water_c"):
        values = getattr(log, name) + stream.normal(0.0, 0.2, len(log.times))
        series[name] = np.where(stream.random(len(values)) < 0.03, np.nan, values)
    return replace(log, **series)


def covered(truth, seeds: range) -> dict[str, list[bool]]:
    plan, log = truth
    case, inside = scene_of(plan), {}
    for seed in seeds:
        found = calibrate(case, noisy(log, seed))
        for one in found.estimates:
            inside.setdefault(one.name, []).append(one.low <= getattr(TRUTH, one.name) <= one.high)
    return inside


def test_the_truth_lies_in_most_intervals(truth):
    """Six seeds here; `pytest -m slow tests/test_fit.py` runs a hundred."""
    inside = covered(truth, range(6))
    assert {"room", "water"} <= set(inside)
    for name, hits in inside.items():
        assert sum(hits) >= len(hits) - 2, name


@pytest.mark.slow
def test_the_truth_lies_in_ninety_of_a_hundred_intervals(truth):
    inside = covered(truth, range(100))
    print({name: f"{sum(hits)} of {len(hits)}" for name, hits in inside.items()})
    for name in ("room", "mass", "water"):
        assert len(inside[name]) >= 90, name
        assert sum(inside[name]) >= 0.9 * len(inside[name]), name


def test_a_fit_follows_what_it_never_saw(truth):
    plan, log = truth
    found = calibrate(scene_of(plan), noisy(log, 1))
    assert found.held_out_rms_k < 0.25 < found.before_rms_k + 0.05
    assert "air_change" in found.cannot_tell
    assert found.water_rms_k == pytest.approx(0.2, abs=0.03)


def test_useless_logs_are_refused(truth):
    plan, log = truth
    flat = np.full(len(log.times), 11.0)
    still = replace(log, outdoor_c=flat, room_c=None, water_c=flat, heater_w=np.zeros(len(flat)))
    with pytest.raises(OverwinterError, match="not enough to calibrate"):
        calibrate(scene_of(plan), replace(still, water_c=flat + np.random.default_rng(0).normal(0, 2.0, len(flat))))
    with pytest.raises(OverwinterError, match=r"not enough to calibrate|watts\s+were logged"):
        calibrate(scene_of(plan), replace(log, heater_w=None, room_c=None))
    short = Log(log.times[:72], *(getattr(log, name)[:72] for name in ("outdoor_c", "room_c", "water_c", "heater_w")))
    with pytest.raises(OverwinterError, match="whole days"):
        calibrate(scene_of(plan), short)


def test_rules_of_one_line():
    """Cengel, Heat and Mass Transfer, eq. 4-4 by hand: from 10 K to 10/e K in tau; 25 W over 5 K is 5 W/K."""
    assert time_constant(30.0, 15.0, 5.0 + 10.0 / np.e, 5.0) == pytest.approx(30.0)
    assert steady_conductance(25.0, 11.0, 6.0) == 5.0


def test_rules_of_one_line_by_command(tmp_path, workshop_text):
    """The same by hand on the demo's water: C / tau, and watts over kelvin."""
    (tmp_path / "plan.toml").write_text(workshop_text, "utf-8")
    plan = read_plan(tmp_path / "plan.toml")
    capacity = sum(one.capacity_j_per_k for one in plan.tanks + plan.beds)

    def rule(*arguments):
        code, _, err = fuzz.ended("fit", str(tmp_path / "plan.toml"), *arguments, "--json", str(tmp_path / "rule.json"))
        assert code == 0, err
        return fuzz.read_json(tmp_path / "rule.json")

    assert rule("--steady", "25 W, 11 degC, 6 degC")["measured_w_per_k"] == pytest.approx(5.0)
    cooled = rule("--cooled", "15 degC, 10 degC, 5 degC, 12 h")
    assert cooled["time_constant_h"] == pytest.approx(12.0 / np.log(2.0))
    assert cooled["measured_w_per_k"] == pytest.approx(capacity / (12.0 / np.log(2.0) * 3600.0))
    for wrong in (
        ("--cooled", "5 degC, 10 degC, 2 degC, 8 h"),
        ("--steady", "25 W, 11 degC"),
        ("--steady", "0 W, 11 degC, 6 degC"),
        ("--cooled", "a, b, c, d"),
        (),
    ):
        assert fuzz.ended("fit", str(tmp_path / "plan.toml"), *wrong)[0] == 2


def write_log(path, log, fahrenheit=False):
    table = pd.DataFrame({"time": log.times, "outdoor": log.outdoor_c, "room": log.room_c, "water": log.water_c,
                          "watts": log.heater_w})  # fmt: skip
    if fahrenheit:
        table["water (F)"] = table.pop("water") * 1.8 + 32
    table.to_csv(path, index=False)


def test_the_command_writes_a_plan_that_says_what_was_found(truth, tmp_path, workshop_text):
    (tmp_path / "plan.toml").write_text(workshop_text + "\n[fit]\nwater = 0.9\n")
    write_log(tmp_path / "log.csv", noisy(truth[1], 2), fahrenheit=True)
    done = subprocess.run(
        [sys.executable, "-m", "thermal", "fit", "plan.toml", "log.csv", "--json", "out.json", "--hours", "hours.csv"],
        cwd=tmp_path, capture_output=True, text=True, timeout=120,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    found = json.loads((tmp_path / "out.json").read_text())
    after = read_plan(tmp_path / "plan-fitted.toml")
    assert after.source["fit"]["water"] == pytest.approx(0.9 * found["factors"]["water"], rel=1e-3)
    assert after.source["fit"]["water"] == pytest.approx(0.8, abs=0.05)
    assert "water_modelled_c" in (tmp_path / "hours.csv").read_text()
    assert (tmp_path / "plan-fitted.toml").read_text().count("[fit]") == 1


def test_factors_change_what_they_name(workshop):
    bare, changed = plan_of(workshop), plan_of({**workshop, "fit": {"air_change": 2.0, "cover": 0.5}})
    assert changed.room.air_changes_per_h == 2.0 * bare.room.air_changes_per_h
    assert changed.tanks[0].evaporation == 0.5 * bare.tanks[0].evaporation
    assert "[fit]\nroom = 1.3" in fitted_plan("title = 'x'\n", bare, Factors(room=1.3))


@pytest.mark.parametrize("offsets", [("Z", " -05"), ("+01:00", "-0530"), ("", "+00")])
def test_a_loggers_clock_counts_whatever_offset_it_writes(tmp_path, offsets):
    """Found by hand: where some rows had one and some had not, pandas would not have them."""

    def times(offsets):
        rows = [f"2026-01-31 {hour:02d}:00{offsets[hour % 2]},1" for hour in range(24)]
        (tmp_path / "log.csv").write_text("\n".join(["time,water", *rows]))
        return read_log(tmp_path / "log.csv").times

    assert list(times(offsets)) == list(times(("", "")))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("a,b\n1,2\n", "no column of times"),
        ("time,outdoor\n2026-01-01,1\n", "neither a 'water' nor a 'room'"),
        ("time,water\n2026-01-01,1\n2026-01-02,1,2\n", r"values \(Expected 2 fields in line 3, saw 3\)$"),
        ("time,water\nyesterday,1\n", "is not a time; write for example"),
        ("time,water\n0226-01-01,1\n0226-01-02,1\n", "runs from 0226-01-01 to 0226-01-02; write years between 1700"),
        ("time,water\n2026-01-01T00+00,1\n2026-01-01T01,1\n", "not all written in one form"),
    ],
)
def test_broken_logs_are_refused_in_words(tmp_path, text, said):
    (tmp_path / "log.csv").write_text(text)
    with pytest.raises(OverwinterError, match=said):
        read_log(tmp_path / "log.csv")
