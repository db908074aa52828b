"""A winter's kilowatt-hours and money: month by month and path by path, median winter and worst."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from thermal.analysis import heat_balance, tariff
from thermal.analysis.case import SimulationCase
from thermal.climate.heating_seasons import Weather
from thermal.core.arrays import Array
from thermal.plan.model import Plan
from thermal.solver.simulate import SimulationResult

JOULES_PER_KWH = 3.6e6
UNHEATED, INSTALLED = 0, 1  # designs in a traced march of (unheated, installed, ...)


@dataclass(frozen=True)
class Month:
    """One month of one winter."""

    month: str
    kwh: float
    cost: float
    paths_kwh: dict[str, float]
    room_paths_kwh: dict[str, float]


@dataclass(frozen=True)
class WinterCost:
    """What one winter takes."""

    label: str
    complete: bool
    kwh: float
    cost: float
    other_kwh: float
    other_cost: float


@dataclass(frozen=True)
class WinterEnergy:
    """All winters' bills, and the months of the median one."""

    winter_costs: tuple[WinterCost, ...]
    median: int
    worst: int
    months: tuple[Month, ...]
    design_at: str
    design_w: float
    design_paths_w: dict[str, float]


def median_and_worst(weather: Weather, kwh: Array) -> tuple[int, int]:
    """The median winter, a real one, and the worst: of the complete winters by kWh.

    Of two in the middle the dearer. Where no winter is complete the longest stands in for them.
    """
    whole = [i for i, winter in enumerate(weather.winters) if winter.complete]
    longest = int(np.argmax([winter.hours for winter in weather.winters]))
    ranked = sorted(whole or [longest], key=lambda i: kwh[i])
    return ranked[len(ranked) // 2], ranked[-1]


def winter_energy(case: SimulationCase, run: SimulationResult) -> WinterEnergy:
    """The season of a traced march of (unheated, installed, ...)."""
    winter_costs = tuple(_winter_cost(case, run, winter) for winter in range(len(case.weather.winters)))
    median, worst = median_and_worst(case.weather, np.array([bill.kwh for bill in winter_costs]))
    peak_winter = int(np.argmax(run.peak_w[INSTALLED]))
    design = paths_of(case, run, peak_winter)
    heat = _heat(case, run, peak_winter)
    at = int(np.argmax(heat))
    return WinterEnergy(
        winter_costs=winter_costs,
        median=median,
        worst=worst,
        months=_months(case, run, median),
        design_at=case.weather.winters[peak_winter].times()[at].isoformat(),
        design_w=float(heat[at]),
        design_paths_w={name: float(flow[at]) for name, flow in design[0].items()},
    )


def hours_of(case: SimulationCase, run: SimulationResult, winter: int, design: int = INSTALLED) -> heat_balance.Hours:
    """One winter of one design, ready for the accounts."""
    assert run.hourly_output is not None
    weather = case.weather
    column = design * len(weather.winters) + winter
    span = slice(weather.spin_up_h, weather.spin_up_h + weather.winters[winter].hours)
    length = weather.winters[winter].hours
    hourly = {
        name: values[:length]
        for name, values in vars(run.hourly_output).items()
        if name not in ("start_c", "start_ice_j")
    }
    hourly_output = type(run.hourly_output)(
        **hourly, start_c=run.hourly_output.start_c, start_ice_j=run.hourly_output.start_ice_j
    )
    return heat_balance.Hours(
        hourly_output=hourly_output,
        column=column,
        start_c=run.hourly_output.start_c[:, column],
        start_ice_j=run.hourly_output.start_ice_j[:, column],
        outdoor_c=weather.outdoor_c[span, winter],
        season=np.stack([weather.season_cos[span, winter], weather.season_sin[span, winter]], axis=1),
        hour_of_day=np.arange(span.start, span.stop) % 24,
    )


def paths_of(case: SimulationCase, run: SimulationResult, winter: int) -> tuple[heat_balance.Paths, heat_balance.Paths]:
    """Hourly paths of the heated zone and of the whole room; the same where only one of them is modelled."""
    hours = hours_of(case, run, winter)
    water = heat_balance.water_paths(case.plan, case.network, hours)
    if case.envelope is None:
        return water, {}
    harmonic = case.weather.harmonic
    ground = (harmonic.mean_c, harmonic.amplitude_k)
    room = heat_balance.room_paths(case.plan, case.envelope, case.network, hours, ground)
    return (water, room) if case.plan.heater.where == "water" else (room, room)


def other_w(plan: Plan) -> Array:
    """Electricity of pump, lights and gains by hour of the day. [W]"""
    loads = sum(load.power_w * np.array(load.hours) for load in plan.loads)
    return np.asarray(plan.pump.power_w * np.array(plan.pump.hours) + loads)


def monthly_sums(times: pd.DatetimeIndex, hourly: Array) -> Array:
    """Sums over the months of a winter, in order, shape (month, ...). hourly has shape (hour, ...)."""
    starts = np.flatnonzero(np.diff(times.month, prepend=0))
    return np.asarray(np.add.reduceat(hourly, starts, axis=0))


def other_months(plan: Plan, times: pd.DatetimeIndex) -> Array:
    """What house, pump, lights and gains take in each month before the heater. [kWh]"""
    return plan.power.household_kwh + monthly_sums(times, other_w(plan)[times.hour] / 1000.0)


def _heat(case: SimulationCase, run: SimulationResult, winter: int) -> Array:
    assert run.hourly_output is not None
    column = INSTALLED * len(case.weather.winters) + winter
    return run.hourly_output.heater_w[: case.weather.winters[winter].hours, column]


def _winter_cost(case: SimulationCase, run: SimulationResult, winter: int) -> WinterCost:
    season, plan = case.weather.winters[winter], case.plan
    times = season.times()
    other = other_w(plan)[times.hour] / 1000.0
    return WinterCost(
        label=season.label,
        complete=season.complete,
        kwh=float(run.heater_j[INSTALLED, winter] / JOULES_PER_KWH),
        cost=float(_heater_months(case, run, winter)[1].sum()),
        other_kwh=float(other.sum()),
        other_cost=float(other @ tariff.hourly_price(plan.power, times)),
    )


def _heater_months(case: SimulationCase, run: SimulationResult, winter: int) -> tuple[Array, Array]:
    """The heater's kWh and cost in each month of a winter."""
    times, power = case.weather.winters[winter].times(), case.plan.power
    hourly = _heat(case, run, winter) / 1000.0
    kwh = monthly_sums(times, hourly)
    paid = monthly_sums(times, hourly * tariff.hourly_price(power, times))
    return kwh, tariff.month_costs(power, kwh, paid, other_months(case.plan, times))


def _months(case: SimulationCase, run: SimulationResult, winter: int) -> tuple[Month, ...]:
    times = case.weather.winters[winter].times()
    label = list(times.strftime("%Y-%m"))
    heated, room = paths_of(case, run, winter)
    by_path, by_room = heat_balance.monthly(heated, label), heat_balance.monthly(room, label)
    kwh, cost = _heater_months(case, run, winter)
    return tuple(
        Month(name, float(kwh[i]), float(cost[i]), by_path[name], by_room.get(name, {}))
        for i, name in enumerate(dict.fromkeys(label))
    )
