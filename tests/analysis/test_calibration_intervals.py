"""Intervals and what stays unknown, by hand."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from thermal.analysis.calibration_intervals import combined_estimate, determines, independent_spread, residual_sd
from thermal.analysis.factor_parameters import log_factors, shares_of, slopes_of_log_factors
from thermal.analysis.log_simulation import lasting_hours, rms, robust_sd, spikes
from thermal.climate.logger_csv import Log

NAMES = ("air_change", "room", "mass")


def test_sum_and_ratio_give_back_the_factors():
    """Sides 60 W/K x 1.5 and air change 20 W/K x 0.5 are 100 of 80 W/K."""
    shares = shares_of(NAMES, {"room": 60.0, "air_change": 20.0})
    parameters = np.array([np.log(0.5 / 1.5), np.log(100.0 / 80.0), np.log(1.2)])
    assert np.exp(log_factors(NAMES, shares, parameters[None])[0]) == pytest.approx([0.5, 1.5, 1.2])
    steps = 1e-6 * np.eye(3)
    changes = (log_factors(NAMES, shares, parameters + steps) - log_factors(NAMES, shares, parameters - steps)) / 2e-6
    assert slopes_of_log_factors(NAMES, shares, parameters) == pytest.approx(changes.T, abs=1e-6)
    assert shares_of(NAMES, {"room": 60.0})[:2] == pytest.approx([0.5, 0.5])


def test_a_factor_is_determined_when_the_log_says_more_than_was_known():
    assert determines(0.1, 0.5)
    assert not determines(0.4, 0.5)  # 0.8 of what was known before
    assert not determines(0.5, 2.0)  # 1.96 x 0.5 is more than a factor of 2.5


def test_a_sum_has_its_own_interval():
    pair = combined_estimate(("room", "air_change"), (0.75, 0.25), np.log(1.25), 0.05, 80.0)
    assert (pair.factor, pair.w_per_k) == pytest.approx((1.25, 100.0))
    assert pair.high / pair.factor == pytest.approx(np.exp(1.96 * 0.05))
    assert pair.w_per_k_low == pytest.approx(100.0 * np.exp(-1.96 * 0.05))
    assert combined_estimate(("room", "air_change"), (0.75, 0.25), 0.0, 0.4, 80.0) is None


def test_correlated_factors_are_spread_as_far_as_their_sum_allows():
    """By hand: variances s^2, correlation r; each while the other is held has s sqrt(1 - r^2)."""
    s, r = 0.3, -0.98
    spread = independent_spread(("room", "air_change"), s**2 * np.array([[1.0, r], [r, 1.0]]), 0.06)
    assert spread.room_sd == spread.air_change_sd == pytest.approx(s * np.sqrt(1.0 - r**2))
    assert spread.residual == 0.06
    assert spread.water_sd is None
    known = s * np.sqrt(0.5 * (1.0 + r))  # of half of one plus half of the other
    assert known < spread.room_sd * np.sqrt(0.5) < 2.0 * known  # sampled one by one: wider, not many times so
    assert independent_spread(("room",), np.array([[0.01]]), 0.1).room_sd == pytest.approx(0.1)


def log_of(water_c, heater_w) -> Log:
    times = pd.date_range("2026-01-01", periods=len(water_c), freq="h")
    return Log(times, None, None, np.array(water_c), None if heater_w is None else np.array(heater_w))


def test_the_residual_shrinks_with_a_good_fit_and_not_without_watts():
    """5 % for the model and 0.5 of 10 degrees for the error add up to 7.1 %; never more than without a fit."""
    water, cold = np.full(48, 12.0), np.full(48, 2.0)
    heated = log_of(water, np.full(48, 300.0))
    assert residual_sd(heated, cold, 0.0, 0.0) == pytest.approx(0.05)
    assert residual_sd(heated, cold, 0.5, 0.0) == pytest.approx(np.hypot(0.05, 0.05))
    assert residual_sd(heated, cold, 0.5, 0.05) == pytest.approx(0.05 * np.sqrt(3.0))
    assert residual_sd(heated, cold, 9.0, 0.0) == 0.20
    for without in (None, np.zeros(48)):
        assert residual_sd(log_of(water, without), cold, 0.0, 0.0) == 0.10


def test_spikes_are_found_and_left_out():
    stream = np.random.default_rng(5)
    residual = stream.normal(0.0, 0.2, 400) + np.linspace(0.0, 3.0, 400)  # a drift is no spike
    wrong = residual.copy()
    wrong[[50, 51, 200]] += 20.0
    assert not spikes(residual).any()
    assert np.flatnonzero(spikes(wrong)).tolist() == [50, 51, 200]
    assert rms(wrong) == pytest.approx(rms(residual), rel=0.02)
    assert robust_sd(stream.normal(0.0, 0.2, 4000)) == pytest.approx(0.2, rel=0.05)


def test_lasting_errors_count_less():
    """By hand: a first-order error with correlation 0.9 from hour to hour lasts (1 + 0.9) / (1 - 0.9) = 19 h."""
    stream = np.random.default_rng(2)
    steps, error = stream.normal(0.0, 1.0, 20000), np.zeros(20000)
    for hour in range(1, len(error)):
        error[hour] = 0.9 * error[hour - 1] + steps[hour]
    assert lasting_hours(0.1 * error) == pytest.approx(19.0, rel=0.15)
    assert lasting_hours(stream.normal(0.0, 1.0, 5000)) < 1.2
    broken = 0.1 * error[:400]
    broken[::7] = np.nan
    assert np.isfinite(lasting_hours(broken))
