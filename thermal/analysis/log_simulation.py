"""A plan simulated over the hours of a log, and how far the log is from it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from thermal.analysis.case import SimulationCase, network_of
from thermal.analysis.heat_loss_table import room_parts
from thermal.climate.assumed_weather import ASSUMED, ASSUMED_HUMIDITY
from thermal.climate.dataset import YEAR_H, hour_of_year
from thermal.climate.forcing import COLUMNS, SKY, Forcing
from thermal.climate.logger_csv import Log
from thermal.core.arrays import Array
from thermal.errors import SizingError
from thermal.network.build import plan_envelope
from thermal.network.model import Control, Network, join_networks
from thermal.physics import moist_air
from thermal.physics.constants import SEA_LEVEL_PA
from thermal.physics.infiltration import air_change_conductance
from thermal.physics.outside_film import outside_film, wind_at_wall
from thermal.physics.sky_temperature import SKY_BELOW_AIR_K, sky_loss
from thermal.plan.model import Plan
from thermal.solver.results import SimulationResult
from thermal.solver.simulate import simulate

SETTLE_H = 24  # hours at the beginning that are not compared
SHORTEST_H = 7 * 24  # of a log
FIRST_H = 5  # hours whose median is the temperature at the beginning
SPIKE_WINDOW_H = 13  # hours about each hour, from whose median a spike stands apart
SPIKE_SD, SPIKE_K = 6.0, 1.0  # robust standard deviations and degrees beyond which an hour is a spike
MAD_TO_SD = 1.4826  # standard deviation of a normal distribution over its median absolute deviation
LONGEST_LAG_H = 96  # hours over which an error may last
LEAST_DIFFERENCE_K = 1.0  # between water and air, below which evaporation for each degree is not defined


@dataclass(frozen=True)
class LogProblem:
    """A log and the hours of it to calibrate to, and to check against.

    Attributes
    ----------
    case : SimulationCase
        The plan and its climate.
    log : Log
        The log.
    forcing : Forcing
        Weather of its hours.
    fitted_rows, held_out_rows : Array of int
        Hours to calibrate to, and hours kept for the check.
    """

    case: SimulationCase
    log: Log
    forcing: Forcing
    fitted_rows: Array
    held_out_rows: Array


@dataclass(frozen=True)
class Nuisance:
    """What a log does not say and the calibration finds beside the factors.

    Attributes
    ----------
    slab_k, ground_k : Array, shape (stretch, plan)
        Slab and ground less the room at the first hour of each stretch of the log [K].
    water_k, room_k : Array, shape (plan,)
        What the sensors of water and room read above the truth [K].
    watts : Array, shape (plan,)
        Factor on the logged watts [-].
    """

    slab_k: Array
    ground_k: Array
    water_k: Array
    room_k: Array
    watts: Array


def log_problem(case: SimulationCase, log: Log) -> LogProblem:
    """The log with its hours divided into those to calibrate to and those held out: the last third.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    log : Log
        The log.

    Raises
    ------
    SizingError
        When the log is too short, lacks most of its water temperatures, or has no outdoor temperatures of its days.
    """
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
    settled = np.ones(hours, dtype=bool)
    for part in log.stretches():
        settled[part.start : part.start + SETTLE_H] = False
    held_out = rows[(rows >= split) & settled]
    return LogProblem(case, log, _forcing(case, log), rows[(rows < split) & settled], held_out)


def _forcing(case: SimulationCase, log: Log) -> Forcing:
    """The log's hours as forcing; outdoor temperature from the climate where it was not logged."""
    weather, hours = case.weather, len(log.times)
    outdoor = log.outdoor_c
    if outdoor is None:
        outdoor = np.concatenate([_from_climate(case, log.times[part]) for part in log.stretches()])
    vapour = ASSUMED_HUMIDITY * moist_air.water_saturation_pressure(outdoor)
    noon = hour_of_year(log.times.normalize() + pd.Timedelta(hours=12))
    season = 2 * np.pi * (noon - weather.harmonic.coldest_h) / YEAR_H
    columns: dict[str, Any] = {
        "outdoor_c": outdoor[:, None],
        "humidity_ratio": moist_air.humidity_ratio(vapour, weather.pressure_pa)[:, None],
        "wind_m_s": np.full((hours, 1), ASSUMED["wind_m_s"]),
        "season_cos": np.cos(season)[:, None],
        "season_sin": np.sin(season)[:, None],
    }
    return Forcing(
        **columns, pressure_pa=weather.pressure_pa, spin_up_h=0, end_h=np.array([hours]),
        marks=np.zeros((0, 1), dtype=int), columns=_usual_sky(case, outdoor),
    )  # fmt: skip


def _in_stretch(forcing: Forcing, part: slice) -> Forcing:
    """Forcing of the hours of one stretch."""
    names = ("outdoor_c", "humidity_ratio", "wind_m_s", "season_cos", "season_sin")
    hours = {name: getattr(forcing, name)[part] for name in names}
    sky = None if forcing.columns is None else forcing.columns[part]
    return replace(forcing, **hours, columns=sky, end_h=np.array([part.stop - part.start]))


def _usual_sky(case: SimulationCase, outdoor_c: Array) -> Array | None:
    """Columns of the usual sky over the log's hours, without sun; None where the plan counts no sky.

    The log tells neither; what the sun brought is part of the factors found.
    """
    if case.weather.columns is None or not case.weather.sun_and_sky.sky:
        return None
    columns = np.zeros((len(outdoor_c), COLUMNS, 1))
    film = outside_film(wind_at_wall(3.0), outdoor_c)
    columns[:, SKY, 0] = sky_loss(outdoor_c, outdoor_c - SKY_BELOW_AIR_K) / film
    return columns


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


def simulate_log(
    problem: LogProblem, plans: list[Plan], nuisance: Nuisance
) -> tuple[Array, Array, tuple[SimulationResult, ...], tuple[str, ...]]:
    """What the sensors of water and room would read with every plan.

    Each stretch of the log begins anew, with what its sensors read then.

    Parameters
    ----------
    problem : LogProblem
        The log.
    plans : list of Plan
        Plans with the same nodes.
    nuisance : Nuisance
        What the log does not say, for each plan.

    Returns
    -------
    water_c, room_c : Array, shape (hour, plan)
        Readings of water and room [degC].
    runs : tuple of SimulationResult
        The simulation of each stretch, with hourly output; a column for each plan.
    nodes : tuple of str
        Names of its nodes.
    """
    network = join_networks([network_of(plan, problem.case.weather) for plan in plans])
    stretches = enumerate(problem.log.stretches())
    parts = [_simulate_stretch(problem, network, nuisance, number, part) for number, part in stretches]
    water, room, runs = zip(*parts, strict=True)
    return np.concatenate(water), np.concatenate(room), tuple(runs), network.nodes


def _simulate_stretch(
    problem: LogProblem, network: Network, nuisance: Nuisance, number: int, part: slice
) -> tuple[Array, Array, SimulationResult]:
    """Readings of water and room in one stretch of the log, and its simulation."""
    case, log, nodes = problem.case, problem.log, network.nodes
    forcing, hours, designs = _in_stretch(problem.forcing, part), part.stop - part.start, len(nuisance.water_k)
    water = _first_value(log.water_c, part, case.plan.keep.floor_c) - nuisance.water_k
    outdoor = float(forcing.outdoor_c[:72, 0].mean())
    room = _first_value(log.room_c, part, 0.5 * (float(water[0]) + outdoor)) - nuisance.room_k
    begin = np.tile(room, (len(nodes), 1))
    for name, value in (
        ("tank", water), ("bed", water), ("slab", room + nuisance.slab_k[number]),
        ("soil", room + nuisance.ground_k[number]),
    ):  # fmt: skip
        if name in nodes:
            begin[nodes.index(name)] = value
    no_power = np.zeros(designs)
    logged_w = np.zeros(hours) if log.heater_w is None else log.heater_w[part]
    setpoint = np.full((24, designs), case.plan.keep.thermostat_c)
    control = Control(setpoint, no_power, no_power, logged_w[:, None] * nuisance.watts)
    if log.heater_w is None and case.plan.heater.units_w:
        control = Control(setpoint, no_power + sum(case.plan.heater.units_w), no_power)
    run = simulate(network, forcing, control, case.plan.keep.floor_c, hourly_output=True, start_c=begin)
    assert run.hourly_output is not None
    ends = np.concatenate([begin[None, -1], run.hourly_output.water_c[:, -1]])
    air_c = run.hourly_output.mean_c[:, nodes.index("air")] if "air" in nodes else np.tile(room, (hours, 1))
    return 0.5 * (ends[1:] + ends[:-1]) + nuisance.water_k, air_c + nuisance.room_k, run


def _first_value(values: Array | None, part: slice, otherwise: float) -> float:
    """Median of the first values of a stretch, or another value where none is there."""
    if values is None or not np.isfinite(values[part][:FIRST_H]).any():
        return float(otherwise)
    return float(np.nanmedian(values[part][:FIRST_H]))


def loss_per_degree(
    problem: LogProblem, plan: Plan, runs: tuple[SimulationResult, ...], nodes: tuple[str, ...]
) -> dict[str, float]:
    """Mean heat loss over the log for each degree, by the factor that multiplies it. [W/K]

    Parameters
    ----------
    problem : LogProblem
        The log.
    plan : Plan
        The calibrated plan.
    runs : tuple of SimulationResult
        Its simulation over each stretch of the log, in column 0.
    nodes : tuple of str
        Names of its nodes.

    Returns
    -------
    dict of str to float
        By the names of `Factors`: "air_change" and "room" for each degree between room and outdoors, "water" and
        "cover" for each degree between water and air. Evaporation is left out where water and air are too close, and
        all of the room where its air is given.
    """
    room = plan.room

    def hours_of_all(name: str) -> Array:
        return np.concatenate([getattr(run.hourly_output, name) for run in runs])

    mean_c = hours_of_all("mean_c")
    losses = {"water": float(hours_of_all("wall_w_per_k")[:, :, 0].sum(axis=1).mean())}
    outer = {side.name for side in room.sides if side.faces in ("outdoors", "attic")}
    parts = list(room_parts(plan))
    if parts:
        losses["room"] = sum(part.w_per_k for part in parts if part.name in outer or part.name == "thermal bridges")
        envelope = plan_envelope(plan, SEA_LEVEL_PA)
        assert envelope is not None
        losses["air_change"] = float(
            air_change_conductance(envelope.change_kg_s) + hours_of_all("leak_w_per_k")[:, 0].mean()
        )
    around = "hut" if "hut" in nodes else "air"
    air_c = mean_c[:, nodes.index(around), 0] if around in nodes else np.array(np.mean(room.given_by_hour_c))
    water_c = mean_c[:, [nodes.index(name) for name in ("bed", "tank") if name in nodes], 0].mean(axis=1)
    difference_k = float((water_c - air_c).mean())
    if difference_k > LEAST_DIFFERENCE_K:
        vapour = hours_of_all("evaporation_kg_s")[:, :, 0].sum(axis=1)
        losses["cover"] = float((vapour * moist_air.latent_heat(water_c)).mean()) / difference_k
    return losses


def robust_sd(residual_k: Array) -> float:
    """Standard deviation about zero that a few spikes do not move. [K]

    Parameters
    ----------
    residual_k : Array
        Measured less simulated temperature [K], NaN where not measured.
    """
    return MAD_TO_SD * float(np.nanmedian(np.abs(residual_k)))


def spikes(residual_k: Array) -> Array:
    """Hours that stand apart from the hours about them.

    Parameters
    ----------
    residual_k : Array, shape (hour,)
        Measured less simulated temperature of hours in order [K], NaN where not measured.

    Returns
    -------
    Array of bool, shape (hour,)
        True where the residual is farther than `SPIKE_SD` robust standard deviations, and than `SPIKE_K`, from the
        median of `SPIKE_WINDOW_H` hours.

    Source: Hampel's identifier (median and median absolute deviation), Davies and Gather 1993, J. Am. Stat. Assoc.
    88:782, from memory; the limits are our judgement.
    """
    series = pd.Series(residual_k)
    about = series.rolling(SPIKE_WINDOW_H, center=True, min_periods=1).median()
    apart = (series - about).to_numpy()
    return np.asarray(np.abs(apart) > max(SPIKE_SD * robust_sd(apart), SPIKE_K))


def rms(residual_k: Array) -> float:
    """Root mean square of the residuals that are no spikes. [K]

    Parameters
    ----------
    residual_k : Array, shape (hour,)
        Measured less simulated temperature of hours in order [K], NaN where not measured.
    """
    return float(np.sqrt(np.nanmean(np.square(residual_k[~spikes(residual_k)]))))


def lasting_hours(residual_k: Array) -> float:
    """Hours over which errors last: how many hours count as one independent measurement, at least 1. [h]

    Parameters
    ----------
    residual_k : Array, shape (hour,)
        Measured less simulated temperature of hours in order [K], NaN where not measured.

    Equation: 1 + 2 times the sum of the correlations with the hours before, up to the first that is not positive;
    spikes are left out. Source: integrated autocorrelation time, Priestley 1981, Spectral Analysis and Time Series,
    section 5.3 (from memory).
    """
    kept = np.where(spikes(residual_k), np.nan, residual_k)
    power = float(np.nanmean(np.square(kept)))
    total = 1.0
    for lag in range(1, min(LONGEST_LAG_H, len(kept) - 1)):
        correlation = float(np.nanmean(kept[lag:] * kept[:-lag])) / power if power > 0.0 else 0.0
        if not correlation > 0.0:
            break
        total += 2.0 * correlation
    return total
