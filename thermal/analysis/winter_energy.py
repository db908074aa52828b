"""Energy and cost of every winter, and the typical winter month by month and path by path."""

from __future__ import annotations

import numpy as np

from thermal.analysis import heat_balance
from thermal.analysis.case import INSTALLED, SimulationCase, hours_of
from thermal.analysis.drying_results import drying_cost, drying_w
from thermal.analysis.results import Month, WinterCost, WinterEnergy
from thermal.analysis.winter_totals import JOULES_PER_KWH, heater_months, load_cost, median_and_worst, other_w
from thermal.climate.heating_seasons import month_of_hours
from thermal.core.arrays import Array
from thermal.solver.results import SimulationResult


def winter_energy(case: SimulationCase, run: SimulationResult, cold: SimulationResult | None = None) -> WinterEnergy:
    """Energy and cost of every winter, with the months of the typical one.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    run : SimulationResult
        Hourly simulation of the designs (unheated, installed, ...).
    cold : SimulationResult, optional
        The same in the rare cold spell. Only the hour of peak heat demand is taken from it.

    Raises
    ------
    ClosureError
        When the paths of heat do not add up to the heater's heat.
    """
    winter_costs = tuple(_winter_cost(case, run, winter) for winter in range(len(case.weather.winters)))
    median, worst = median_and_worst(case.weather, np.array([winter_cost.kwh for winter_cost in winter_costs]))
    rare = case.in_rare_cold
    in_rare_cold = rare is not None and cold is not None and cold.peak_w[INSTALLED].max() >= run.peak_w[INSTALLED].max()
    peak_case, peak_run = (rare, cold) if in_rare_cold and rare and cold else (case, run)
    peak_winter = int(np.argmax(peak_run.peak_w[INSTALLED]))
    heated, room = paths_of(peak_case, peak_run, peak_winter)
    heat = _heat(peak_case, peak_run, peak_winter)
    peak_hour = int(np.argmax(heat))
    return WinterEnergy(
        winter_costs=winter_costs,
        median=median,
        worst=worst,
        months=_months(case, run, median),
        design_at=peak_case.weather.winters[peak_winter].times()[peak_hour].isoformat(),
        design_w=float(heat[peak_hour]),
        design_paths_w={name: float(flow[peak_hour]) for name, flow in heated.items()},
        design_in_rare_cold=in_rare_cold,
        design_room_paths_w={name: float(flow[peak_hour]) for name, flow in room.items()},
    )


def paths_of(case: SimulationCase, run: SimulationResult, winter: int) -> tuple[heat_balance.Paths, heat_balance.Paths]:
    """Heat by each path in each hour of one winter, with the installed heaters. [W]

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    run : SimulationResult
        Hourly simulation of the designs (unheated, installed, ...).
    winter : int
        Index of the winter.

    Returns
    -------
    heated : dict of str to Array, shape (hour,)
        Paths out of the heated zone: the water, or the room where the room is heated.
    room : dict of str to Array, shape (hour,)
        Paths out of the room; empty where the air of the room is given.

    Raises
    ------
    ClosureError
        When the paths do not add up to the heater's heat.
    """
    hours = hours_of(case, run, winter)
    water = heat_balance.water_paths(case.plan, case.network, hours)
    if case.envelope is None:
        return water, {}
    harmonic = case.weather.harmonic
    ground = (harmonic.mean_c, harmonic.amplitude_k)
    room = heat_balance.room_paths(case.plan, case.envelope, case.network, hours, ground)
    return (water, room) if case.plan.heater.where == "water" else (room, room)


def _heat(case: SimulationCase, run: SimulationResult, winter: int) -> Array:
    """Power of the installed heaters in each hour of a winter. [W]"""
    assert run.hourly_output is not None
    column = INSTALLED * len(case.weather.winters) + winter
    return run.hourly_output.heater_w[: case.weather.winters[winter].hours, column]


def _winter_cost(case: SimulationCase, run: SimulationResult, winter: int) -> WinterCost:
    """Energy and cost of one winter."""
    season, plan = case.weather.winters[winter], case.plan
    times = season.times()
    loads_w = other_w(plan)[times.hour]
    return WinterCost(
        label=season.label,
        complete=season.complete,
        kwh=float(run.heater_j[INSTALLED, winter] / JOULES_PER_KWH),
        cost=float(heater_months(case, _heat(case, run, winter), winter)[1].sum()),
        other_kwh=float((loads_w + drying_w(case, run, winter)).sum() / 1000.0),
        other_cost=load_cost(plan, times, loads_w, plan.power.household_kwh) + drying_cost(case, run, winter),
    )


def _months(case: SimulationCase, run: SimulationResult, winter: int) -> tuple[Month, ...]:
    """Heating of each month of a winter."""
    times = case.weather.winters[winter].times()
    label = month_of_hours(times)
    heated, room = paths_of(case, run, winter)
    by_path, by_room = heat_balance.monthly(heated, label), heat_balance.monthly(room, label)
    kwh, cost = heater_months(case, _heat(case, run, winter), winter)
    return tuple(
        Month(name, float(kwh[i]), float(cost[i]), by_path[name], by_room.get(name, {}))
        for i, name in enumerate(dict.fromkeys(label))
    )
