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
from tests.analysis.made_up_logs import drawn_factors, made_up_log, noisy, with_lasting_errors, with_spikes
from thermal.analysis.calibration import calibrate
from thermal.analysis.heat_loss_table import room_parts
from thermal.analysis.plan_weather import scene_of
from thermal.climate.logger_csv import Log, read_log
from thermal.errors import OverwinterError
from thermal.physics.lumped_cooling import steady_conductance, time_constant
from thermal.plan.calibration_factors import apply_factors
from thermal.plan.model import Factors, Plan
from thermal.plan.reader import plan_of, read_plan
from thermal.report.calibration_text import combined_text, fit_table, fitted_plan

TRUTH = Factors(room=1.3, mass=1.2, water=0.8)
MOST_MISSES = 10  # of a hundred logs, in which an interval may leave out the truth


@pytest.fixture(scope="module")
def truth(case_with):
    plan = case_with({"climate.winters": [2016], "room.air_changes": 1.0}).plan
    return plan, made_up_log(plan, TRUTH)


def true_factor(plan: Plan, members: tuple[str, ...], factors: Factors, shares: tuple[float, ...]) -> float:
    """Factor on a sum of losses: of the room from the plan's own U-values and air change, of the water by shares."""
    if set(members) == {"room", "air_change"}:
        parts = {part.name: part.w_per_k for part in room_parts(plan)}
        outer = sum(parts[side.name] for side in plan.room.sides if side.faces in ("outdoors", "attic"))
        weights = {"room": outer, "air_change": parts["air change"]}
        shares = tuple(weights[name] / sum(weights.values()) for name in members)
    return sum(share * getattr(factors, name) for share, name in zip(shares, members, strict=True))


def hits(plan: Plan, factors: Factors, log: Log) -> dict[str, bool]:
    """Whether each interval that the fit shows holds the truth, by name."""
    found = calibrate(scene_of(plan), log)
    assert not {one.name for one in found.estimates} & set(found.cannot_tell)
    inside = {one.name: one.low <= getattr(factors, one.name) <= one.high for one in found.estimates}
    for pair in found.combined:
        inside["+".join(pair.members)] = pair.low <= true_factor(plan, pair.members, factors, pair.shares) <= pair.high
    return inside


def misses(plan: Plan, seeds: range) -> dict[str, list[bool]]:
    """The hits of several logs with lasting errors, each with factors of its own, by name."""
    by_name: dict[str, list[bool]] = {}
    for seed in seeds:
        factors = drawn_factors(seed)
        for name, inside in hits(plan, factors, with_lasting_errors(made_up_log(plan, factors), seed)).items():
            by_name.setdefault(name, []).append(not inside)
    return by_name


def test_the_truth_lies_in_most_intervals(truth):
    """Three logs here; `pytest -m slow tests/analysis/test_calibration.py` makes a hundred."""
    missed = misses(truth[0], range(3))
    assert "mass" in missed
    assert any("room" in name for name in missed)
    for name, each in missed.items():
        assert sum(each) <= 1, name


@pytest.mark.slow
def test_no_interval_leaves_out_the_truth_more_than_ten_times_in_a_hundred_logs(truth):
    missed = misses(truth[0], range(100))
    print({name: f"{sum(each)} of {len(each)}" for name, each in missed.items()})
    assert sum(len(each) for each in missed.values()) >= 200
    assert len(missed["room+air_change"]) >= 80
    for name, each in missed.items():
        assert sum(each) <= MOST_MISSES, name


@pytest.mark.slow
def test_noise_without_lasting_errors_is_covered_too(truth):
    plan, log = truth
    missed = [name for seed in range(50) for name, inside in hits(plan, TRUTH, noisy(log, seed)).items() if not inside]
    for name in set(missed):
        assert missed.count(name) <= MOST_MISSES // 2, name


def test_a_change_of_air_alone_is_not_blamed_on_the_sides(truth):
    """A log cut from the plan's own hours, air change x 0.33: the sides' range was 0.63 to 0.63, and left out 1.0."""
    plan, factors = truth[0], Factors(air_change=0.33)
    inside = hits(plan, factors, made_up_log(plan, factors))
    assert any("room" in name for name in inside)
    assert all(inside.values()), inside


def test_two_factors_that_cannot_be_told_apart_are_one_figure(truth):
    plan, log = truth
    found = calibrate(scene_of(plan), log)
    pair = next(one for one in found.combined if one.members == ("room", "air_change"))
    assert {"room", "air_change"} <= set(found.cannot_tell)
    assert pair.low < pair.factor < pair.high
    assert pair.w_per_k / pair.factor == pytest.approx(
        sum(part.w_per_k for part in room_parts(plan) if part.to in ("outdoors", "attic")), rel=0.05
    )  # what leaks in follows the log's weather, in the parts a mean winter's
    changed = apply_factors(plan, found.factors)
    after = sum(part.w_per_k for part in room_parts(changed) if part.to in ("outdoors", "attic"))
    assert after == pytest.approx(pair.w_per_k, rel=0.05)
    table = fit_table(found)
    assert any("together" in cells[0] and "×" in cells[1] for cells in table.cells)
    assert [cells[1] for cells in table.cells].count("not separable") == 2 * len(found.combined)
    assert any("trust their sum" in sentence for sentence in combined_text(plan, found))


def test_a_few_spikes_hardly_move_the_factors(truth):
    plan, log = truth
    clean = noisy(log, 4)
    before, after = (calibrate(scene_of(plan), one) for one in (clean, with_spikes(clean, 4)))
    assert before.spikes == 0
    assert 12 <= after.spikes <= 16  # of eight in water and room each; some fall on missing hours
    assert after.held_out_rms_k == pytest.approx(before.held_out_rms_k, abs=0.02)
    for one, other in zip(before.combined, after.combined, strict=True):
        assert other.factor == pytest.approx(one.factor, rel=0.03)
    for one, other in zip(before.estimates, after.estimates, strict=True):
        assert other.factor == pytest.approx(one.factor, abs=0.5 * (one.high - one.low) / 2)


def test_a_fit_follows_what_it_never_saw(truth):
    plan, log = truth
    found = calibrate(scene_of(plan), noisy(log, 1))
    assert found.held_out_rms_k < 0.25 < found.before_rms_k + 0.05
    assert found.water_rms_k == pytest.approx(0.2, abs=0.03)
    assert 0.05 <= found.spread.residual <= 0.08  # 0.10 at least without a fit


def test_useless_logs_are_refused(truth):
    plan, log = truth
    flat = np.full(len(log.times), 11.0)
    still = replace(log, outdoor_c=flat, room_c=None, water_c=flat, heater_w=np.zeros(len(flat)))
    with pytest.raises(OverwinterError, match="not enough to calibrate"):
        calibrate(scene_of(plan), replace(still, water_c=flat + np.random.default_rng(0).normal(0, 2.0, len(flat))))
    with pytest.raises(OverwinterError, match=r"not plausible.*watts\s+were logged"):
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
    assert found["factors"]["water"] * 0.9 == pytest.approx(0.8, abs=0.2)
    assert {"estimates", "factors", "cannot_tell", "tied", "held_out_rms_k", "combined", "spread", "spikes"} <= set(
        found
    )
    assert after.fit_spread.residual == pytest.approx(found["spread"]["residual"], abs=1e-3)
    assert 0.0 < after.fit_spread.room_sd < 0.2
    assert "overwinter spread" in (tmp_path / "plan-fitted.toml").read_text()
    assert "water_modelled_c" in (tmp_path / "hours.csv").read_text()
    assert (tmp_path / "plan-fitted.toml").read_text().count("[fit]") == 1


def test_factors_change_what_they_name(workshop):
    bare, changed = plan_of(workshop), plan_of({**workshop, "fit": {"air_change": 2.0, "cover": 0.5}})
    assert changed.room.mean_air_changes_per_h == pytest.approx(2.0 * bare.room.mean_air_changes_per_h)
    assert changed.tanks[0].evaporation == 0.5 * bare.tanks[0].evaporation
    for factor in (0.5, 1.0, 1.5, 3.0):
        before, after = room_parts(bare), room_parts(apply_factors(bare, Factors(room=factor)))
        for one, other in zip(before, after, strict=True):
            if one.to == "outdoors" and one.area_m2:
                assert other.w_per_k == pytest.approx(factor * one.w_per_k), one.name  # the bare door too
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
        ("a,b\n1,2\n", "no time among the columns"),
        ("time,outdoor\n2026-01-01,1\n", "neither a water nor a room temperature among the columns"),
        ("time,water\n2026-01-01,1\n2026-01-02,1,2\n", "line 3: more cells than the 2 headings in 1 row"),
        ("time,water\nyesterday,1\n", "is not a time; write for example"),
        ("time,water\n0226-01-01,1\n0226-01-02,1\n", "runs from 0226-01-01 to 0226-01-02; write years between 1700"),
        ("time,water\n2026-01-31 00:00,1\n31/01/2026 01:00,1\n", "line 3: '31/01/2026 01:00' is not a time"),
    ],
)
def test_broken_logs_are_refused_in_words(tmp_path, text, said):
    (tmp_path / "log.csv").write_text(text)
    with pytest.raises(OverwinterError, match=said):
        read_log(tmp_path / "log.csv")
