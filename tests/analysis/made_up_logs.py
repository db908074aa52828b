"""Logs of a plan whose true factors are known, with the errors that loggers have."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from thermal.analysis.calibration import NAMES
from thermal.analysis.calibration_intervals import PRIOR_SD
from thermal.analysis.case import hours_of
from thermal.analysis.plan_weather import scene_of
from thermal.climate.logger_csv import Log
from thermal.plan.calibration_factors import apply_factors
from thermal.plan.model import Factors, Plan

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


def noisy(log: Log, seed: int) -> Log:
    """0.2 K of noise and 3 % missing."""
    stream, series = np.random.default_rng(seed), {}
    for name in ("room_c", "water_c"):
        values = getattr(log, name) + stream.normal(0.0, 0.2, len(log.times))
        series[name] = np.where(stream.random(len(values)) < 0.03, np.nan, values)
    return replace(log, **series)


def drawn_factors(seed: int) -> Factors:
    """Factors as far from the plan as the calibration expects them to be."""
    stream = np.random.default_rng([seed, 1])
    return Factors(**{name: float(np.exp(stream.normal(0.0, PRIOR_SD[name]))) for name in NAMES})


def with_lasting_errors(log: Log, seed: int) -> Log:
    """Errors that last about a day (0.3 K), sensors 0.25 K off, watts 5 % off, beside `noisy`."""
    stream, hours = np.random.default_rng([seed, 2]), len(log.times)
    series = {}
    for name in ("room_c", "water_c"):
        steps, drift = stream.normal(0.0, 0.3, hours), np.zeros(hours)
        keep = np.exp(-1.0 / 24.0)
        drift[0] = steps[0]
        for hour in range(1, hours):
            drift[hour] = keep * drift[hour - 1] + np.sqrt(1.0 - keep**2) * steps[hour]
        series[name] = getattr(log, name) + drift + stream.normal(0.0, 0.25)
    return noisy(replace(log, **series, heater_w=log.heater_w * np.exp(stream.normal(0.0, 0.05))), seed)


def with_spikes(log: Log, seed: int, size_k: float = 20.0, count: int = 8) -> Log:
    """A few hours that read far too warm, in water and room."""
    stream, series = np.random.default_rng([seed, 3]), {}
    for name in ("room_c", "water_c"):
        values = getattr(log, name).copy()
        values[stream.choice(len(values), count, replace=False)] += size_k
        series[name] = values
    return replace(log, **series)
