"""Calibration of a plan to logged temperatures by least squares, and which factors the log does not determine."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

import numpy as np
import pandas as pd

from thermal.analysis.case import SimulationCase, network_of
from thermal.climate.dataset import YEAR_H, hour_of_year
from thermal.climate.forcing import Forcing
from thermal.climate.logger_csv import Log
from thermal.core.arrays import Array
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.core.levenberg_marquardt import levenberg_marquardt
from thermal.errors import SizingError
from thermal.network.model import Control, join_networks
from thermal.physics import moist_air
from thermal.plan.calibration_factors import apply_factors
from thermal.plan.model import Factors, Plan
from thermal.solver.simulate import simulate

NAMES = tuple(field.name for field in fields(Factors))
START = ("start of the slab", "start of the ground")  # temperatures at the first hour less the room, fitted too [K]
SETTLE_H = 24  # hours at the beginning that are not compared
SHORTEST_H = 7 * 24  # of a log
STEP = 0.02  # of the finite differences, in the logarithm of a factor
STEP_K = 0.2  # of the finite differences, in a start temperature
WIDEST = np.log(2.5)  # half an interval in the logarithm, above which the log does not determine a factor
BOUND, BOUND_K = np.log(20.0), 15.0  # largest logarithm of a factor, largest start temperature
CORRELATED = 0.95  # correlation from which two factors cannot be told apart
Z_95 = 1.96  # standard deviations from the mean to either end of a 95 % interval
LEAST_SIGMA_K = 0.02  # smallest noise of a measurement
MOST_OFF_K = 1.0  # over the hours held out, above which a calibration is refused; our judgement


@dataclass(frozen=True)
class Estimate:
    """One calibrated factor.

    Attributes
    ----------
    name : str
        A field of `Factors`.
    factor : float
        The best estimate [-].
    low, high : float
        Ends of its 95 % interval [-].
    """

    name: str
    factor: float
    low: float
    high: float


@dataclass(frozen=True)
class Calibration:
    """Factors calibrated to a log, and how well the plan then agrees with the log.

    Attributes
    ----------
    hours : int
        Hours of the log.
    estimates : tuple of Estimate
        Factors that the log determines; the plan keeps all others.
    factors : Factors
        The same factors, with 1 for those that the log does not determine.
    cannot_tell : tuple of str
        Names of the factors that the log does not determine.
    tied : tuple of (str, str, float)
        Correlated pairs of factors, with their correlation [-].
    water_rms_k, room_rms_k : float or None
        Root mean square of measured less simulated temperature over the hours calibrated to [K]; None where not logged.
    held_out_rms_k : float
        The same for the water (or the room, where the water was not logged) over the last third of the log, which the
        calibration does not use [K].
    before_rms_k : float
        The same over the last third with the plan as it was [K].
    times : pandas.DatetimeIndex
        Start of each hour, local standard time.
    water_c, room_c : Array, shape (hour,)
        Simulated temperatures with the calibrated factors [degC].
    """

    hours: int
    estimates: tuple[Estimate, ...]
    factors: Factors
    cannot_tell: tuple[str, ...]
    tied: tuple[tuple[str, str, float], ...]
    water_rms_k: float | None
    room_rms_k: float | None
    held_out_rms_k: float
    before_rms_k: float
    times: pd.DatetimeIndex
    water_c: Array
    room_c: Array


@dataclass(frozen=True)
class _Problem:
    """A log and the hours of it to calibrate to, and to check against."""

    case: SimulationCase
    log: Log
    forcing: Forcing
    fitted_rows: Array
    held_out_rows: Array


def calibrate(case: SimulationCase, log: Log) -> Calibration:
    """Factors of a plan that agree best with a log.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    log : Log
        Hourly temperatures and heater power from a data logger.

    Raises
    ------
    SizingError
        When the log is too short, determines no factor, or disagrees with the plan even after calibration; or when
        neither the log nor the climate has the outdoor temperatures of its days.
    """
    problem = _problem(case, log)
    free = [name for name in NAMES if name in _relevant_factors(case.plan)]
    left_out: list[str] = []
    while free:
        theta, covariance = _fitted_parameters(problem, free)
        error = np.sqrt(np.diag(covariance))[: len(free)]
        at_bound = np.flatnonzero(np.abs(theta[: len(free)]) > 0.99 * BOUND)
        worst = int(at_bound[0]) if at_bound.size else _factor_to_leave_out(error, covariance, free)
        if worst is None:
            break
        left_out.append(free.pop(worst))
    if not free:
        raise SizingError(
            "this log is not enough to calibrate anything. Log the water, room and outdoor temperatures and the"
            " heater's watts for at least two weeks with some cold days"
        )
    result = _calibration(problem, free, left_out, theta, covariance)
    if result.held_out_rms_k > MOST_OFF_K:
        raise SizingError(
            f"even the best calibration is off by {UNIT_SYSTEMS[case.plan.units].difference(result.held_out_rms_k)}"
            " over the last third of the log: something else warms or cools the system. Check that the heater's watts"
            " were logged, and that the plan has the right tank"
        )
    return result


def _factor_to_leave_out(error: Array, covariance: Array, free: list[str]) -> int | None:
    """The factor to leave out: the widest interval if too wide, or the wider of two that are correlated."""
    count = len(free)
    correlation = np.abs(covariance[:count, :count] / np.outer(error, error)) - np.eye(count)
    if {"air_change", "room"} <= set(free) and correlation[free.index("air_change"), free.index("room")] > CORRELATED:
        return free.index("air_change")  # both carry the room's heat outdoors; the room's factor then stands for both
    if error.max() * Z_95 > WIDEST:
        return int(np.argmax(error))
    i, j = np.unravel_index(int(np.argmax(correlation)), correlation.shape)
    if count < 2 or correlation[i, j] < CORRELATED:
        return None
    return int(i if error[i] > error[j] else j)


def _relevant_factors(plan: Plan) -> tuple[str, ...]:
    """Factors that matter to a plan: walls and cover only, where the air of the room is given."""
    return NAMES if plan.room.temperature_c is None else ("water", "cover")


def _problem(case: SimulationCase, log: Log) -> _Problem:
    """The log with its hours divided into those to calibrate to and those held out."""
    hours = len(log.times)
    if hours < SHORTEST_H:
        raise SizingError(
            f"the log has {hours // 24} whole days; calibration needs at least {SHORTEST_H // 24}, and three weeks are"
            " better"
        )
    if log.water_c is not None and np.isfinite(log.water_c).mean() < 0.5:
        raise SizingError(
            "more than half of the log's water temperatures are missing; leave the column out, or log again"
        )
    split = max(SHORTEST_H // 2, (2 * hours // 3) // 24 * 24)
    rows = np.arange(hours)
    return _Problem(case, log, _forcing(case, log), rows[(rows >= SETTLE_H) & (rows < split)], rows[rows >= split])


def _forcing(case: SimulationCase, log: Log) -> Forcing:
    """The log's hours as forcing; outdoor temperature from the climate where it was not logged."""
    weather, hours = case.weather, len(log.times)
    outdoor = log.outdoor_c
    if outdoor is None:
        outdoor = _from_climate(case, log.times)
    vapour = 0.75 * moist_air.water_saturation_pressure(outdoor)
    noon = hour_of_year(log.times.normalize() + pd.Timedelta(hours=12))
    season = 2 * np.pi * (noon - weather.harmonic.coldest_h) / YEAR_H
    columns: dict[str, Any] = {
        "outdoor_c": outdoor[:, None],
        "humidity_ratio": moist_air.humidity_ratio(vapour, weather.pressure_pa)[:, None],
        "wind_m_s": np.full((hours, 1), 3.0),
        "season_cos": np.cos(season)[:, None],
        "season_sin": np.sin(season)[:, None],
    }
    return Forcing(
        **columns, pressure_pa=weather.pressure_pa, spin_up_h=0, end_h=np.array([hours]),
        marks=np.zeros((0, 1), dtype=int),
    )  # fmt: skip


def _from_climate(case: SimulationCase, times: pd.DatetimeIndex) -> Array:
    """Outdoor temperatures of the climate at the hours of the log. [degC]"""
    for winter, season in enumerate(case.weather.winters):
        hours = season.times()
        if hours[0] <= times[0] and times[-1] <= hours[-1]:
            first = case.weather.spin_up_h + int((times[0] - hours[0]) / pd.Timedelta("1h"))
            return case.weather.outdoor_c[first : first + len(times), winter]
    raise SizingError(
        "the log has no outdoor temperatures, and the plan's weather file does not cover its days; add an 'outdoor'"
        " column, or use a weather file of those days"
    )


def _simulate(problem: _Problem, plans: list[Plan], starts: Array) -> tuple[Array, Array]:
    """Water and room of every plan, shape (hour, plan). [degC]

    starts : shape (2, plan); slab and ground less the room at the first hour [K]
    """
    case, log = problem.case, problem.log
    network = join_networks([network_of(plan, case.weather) for plan in plans])
    designs, nodes = len(plans), network.nodes
    water = _first_value(log.water_c, case.plan.keep.floor_c)
    outdoor = float(problem.forcing.outdoor_c[:72, 0].mean())
    room = _first_value(log.room_c, 0.5 * (water + outdoor))
    begin = np.full((len(nodes), designs), room)
    for name, value in (("tank", water), ("bed", water), ("slab", room + starts[0]), ("soil", room + starts[1])):
        if name in nodes:
            begin[nodes.index(name)] = value
    no_power = np.zeros(designs)
    logged_w = np.zeros(len(log.times)) if log.heater_w is None else log.heater_w
    setpoint = np.full((24, designs), case.plan.keep.thermostat_c)
    control = Control(setpoint, no_power, no_power, np.repeat(logged_w[:, None], designs, axis=1))
    if log.heater_w is None and case.plan.heater.units_w:
        control = Control(setpoint, no_power + sum(case.plan.heater.units_w), no_power)
    run = simulate(network, problem.forcing, control, case.plan.keep.floor_c, hourly_output=True, start_c=begin)
    assert run.hourly_output is not None
    ends = np.concatenate([begin[None, -1], run.hourly_output.water_c[:, -1]])
    air_c = (
        run.hourly_output.mean_c[:, nodes.index("air")] if "air" in nodes else np.full((len(logged_w), designs), room)
    )
    return 0.5 * (ends[1:] + ends[:-1]), air_c


def _first_value(values: Array | None, otherwise: float) -> float:
    """Mean of the first three values, or another value where none is there."""
    if values is None or not np.isfinite(values[:3]).any():
        return float(otherwise)
    return float(np.nanmean(values[:3]))


def _residuals(problem: _Problem, water: Array, room: Array, rows: Array, sigma: tuple[float, ...]) -> Array:
    """Measured less simulated over their noise, shape (measurement, plan). [-]"""
    parts = []
    for measured, simulated, noise in ((problem.log.water_c, water, sigma[0]), (problem.log.room_c, room, sigma[1])):
        if measured is not None:
            valid = rows[np.isfinite(measured[rows])]
            parts.append((measured[valid, None] - simulated[valid]) / noise)
    return np.concatenate(parts)


def _fitted_parameters(problem: _Problem, free: list[str]) -> tuple[Array, Array]:
    """Logarithms of the factors and the two start temperatures that agree best, and their covariance."""
    return levenberg_marquardt(
        model=lambda tried: _simulate_each(problem, free, tried),
        noise=lambda outputs: _noise(problem, outputs[0][:, 0], outputs[1][:, 0]),
        residuals=lambda outputs, sigma: _residuals(problem, *outputs, problem.fitted_rows, sigma),
        steps=np.array([STEP] * len(free) + [STEP_K] * len(START)),
        bound=np.array([BOUND] * len(free) + [BOUND_K] * len(START)),
    )


def _simulate_each(problem: _Problem, free: list[str], candidates: Array) -> tuple[Array, Array]:
    """Water and room for each row of parameters, shape (hour, row). [degC]"""
    plans = [apply_factors(problem.case.plan, _factors(free, candidate)) for candidate in candidates]
    return _simulate(problem, plans, candidates[:, len(free) :].T)


def _factors(free: list[str], theta: Array) -> Factors:
    """The factors of some logarithms."""
    return Factors(**{name: float(np.exp(value)) for name, value in zip(free, theta, strict=False)})


def _noise(problem: _Problem, water: Array, room: Array) -> tuple[float, float]:
    """Root mean square of the residuals of water and room. [K]"""
    rms = [_rms(problem.log.water_c, water, problem.fitted_rows), _rms(problem.log.room_c, room, problem.fitted_rows)]
    return max(rms[0] or 0.0, LEAST_SIGMA_K), max(rms[1] or 0.0, LEAST_SIGMA_K)


def _rms(measured: Array | None, simulated: Array, rows: Array) -> float | None:
    """Root mean square of measured less simulated temperature; None where nothing was measured. [K]"""
    return None if measured is None else float(np.sqrt(np.nanmean(np.square(measured[rows] - simulated[rows]))))


def _calibration(
    problem: _Problem, free: list[str], left_out: list[str], theta: Array, covariance: Array
) -> Calibration:
    """The results from the fitted parameters."""
    error = np.sqrt(np.diag(covariance))
    water, room = _simulate_each(problem, free, np.vstack([theta, np.zeros_like(theta)]))
    measured, simulated = (
        (problem.log.water_c, water) if problem.log.water_c is not None else (problem.log.room_c, room)
    )
    ends = [(np.exp(theta[i] + side * Z_95 * error[i])) for i in range(len(free)) for side in (-1, 1)]
    pairs = [
        (free[i], free[j], float(covariance[i, j] / (error[i] * error[j])))
        for i in range(len(free))
        for j in range(i + 1, len(free))
    ]
    return Calibration(
        hours=len(problem.log.times),
        estimates=tuple(
            Estimate(name, float(np.exp(theta[i])), float(ends[2 * i]), float(ends[2 * i + 1]))
            for i, name in enumerate(free)
        ),
        factors=_factors(free, theta),
        cannot_tell=tuple(left_out),
        tied=tuple(pair for pair in pairs if abs(pair[2]) > 0.8),
        water_rms_k=_rms(problem.log.water_c, water[:, 0], problem.fitted_rows),
        room_rms_k=_rms(problem.log.room_c, room[:, 0], problem.fitted_rows),
        held_out_rms_k=_rms(measured, simulated[:, 0], problem.held_out_rows) or 0.0,
        before_rms_k=_rms(measured, simulated[:, 1], problem.held_out_rows) or 0.0,
        times=problem.log.times,
        water_c=water[:, 0],
        room_c=room[:, 0],
    )
