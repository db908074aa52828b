"""How long the heaters take to warm a cold, newly filled tank to its minimum, from midnights through a winter."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from thermal.analysis.case import UNHEATED, SimulationCase, hours_of
from thermal.analysis.results import HeaterChoice, WinterEnergy
from thermal.climate.forcing import Forcing
from thermal.climate.heating_seasons import excerpt
from thermal.core.arrays import Array
from thermal.solver.results import OutputRequest, SimulationResult
from thermal.solver.simulate import simulate

HORIZON_H = 10 * 24
EVERY_H = 7 * 24  # from one start to the next
WISHED_H = 24.0
CANDIDATES = (0.9, 1.0, 1.15, 1.3, 1.5, 1.75, 2.0, 2.5, 3.0, 4.0, 6.0, 10.0)  # of the power that only warms the water


@dataclass(frozen=True)
class WarmUp:
    """Warming a newly filled tank, begun at midnight of each week of the typical winter, at the likely inputs.

    Attributes
    ----------
    start_c, target_c : float
        Water when the heaters are switched on, and the minimum that it is to reach [degC].
    heater_w : float
        Power of the installed heaters [W].
    hours, kwh : float or None
        Hours [h] and heat [kWh] until then from the median start; None where it takes more than ten days.
    hours_worst, kwh_worst : float or None
        The same from the slowest start.
    worst_start : str
        The slowest start, ISO 8601, local standard time.
    rise_in_hour_k, rise_in_day_k : float
        Largest rise of the water in an hour and in 24 hours, up to the thermostat setting [K].
    heater_for_a_day_w : float or None
        Least power that reaches the minimum in 24 hours from every start [W]; None where ten times the power that only
        warms the water is too little.
    """

    start_c: float
    target_c: float
    heater_w: float
    hours: float | None
    kwh: float | None
    hours_worst: float | None
    kwh_worst: float | None
    worst_start: str
    rise_in_hour_k: float
    rise_in_day_k: float
    heater_for_a_day_w: float | None


def warm_up(case: SimulationCase, shown: SimulationResult, heater: HeaterChoice, energy: WinterEnergy) -> WarmUp | None:
    """The warm-up of a plan's water with the installed heaters.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    shown : SimulationResult
        Its simulation, the unheated design first, hour by hour.
    heater : HeaterChoice
        The heaters.
    energy : WinterEnergy
        Its energy.

    Returns
    -------
    WarmUp or None
        None without heaters in the water, or where the water starts at its minimum.
    """
    plan, installed_w = case.plan, sum(heater.installed_w)
    start_c, target_c = plan.tap_c if plan.start_c is None else plan.start_c, plan.keep.floor_c
    if plan.heater.where != "water" or installed_w <= 0 or start_c >= target_c:
        return None
    starts = np.arange(EVERY_H, case.weather.winters[energy.median].hours - HORIZON_H, EVERY_H)
    if not starts.size:
        return None
    capacity = float(case.network.capacity_j_per_k[list(_water_nodes(case)), 0].sum())
    watts = np.array([installed_w, *(share * capacity * (target_c - start_c) / 86400.0 for share in CANDIDATES)])
    winter = np.full(len(starts), energy.median)
    forcing = excerpt(case.weather, winter, case.weather.spin_up_h + starts, HORIZON_H)
    tank_c, heat_w = _simulate(case, _cold_start(case, shown, energy.median, starts, start_c), forcing, watts)
    hours = _hours_until(tank_c, target_c)
    by_start, order = hours[0], np.argsort(hours[0])
    typical, worst = int(order[len(order) // 2]), int(order[-1])
    kwh = [_heat_until(heat_w[:, 0, start], by_start[start]) for start in (typical, worst)]
    times = case.weather.winters[energy.median].times()
    return WarmUp(
        start_c,
        target_c,
        installed_w,
        _finite(by_start[typical]),
        kwh[0],
        _finite(by_start[worst]),
        kwh[1],
        times[int(starts[worst])].isoformat(),
        float(np.diff(tank_c[:, 0], axis=0).max()),
        float((tank_c[24:, 0] - tank_c[:-24, 0]).max()),
        _power_for_a_day(watts[1:], hours[1:].max(axis=1)),
    )


def _water_nodes(case: SimulationCase) -> tuple[int, ...]:
    return case.network.vessels.in_circuit if case.network.vessels else ()


def _cold_start(case: SimulationCase, shown: SimulationResult, winter: int, starts: Array, start_c: float) -> Array:
    """Temperatures at each start: the room as around unheated water, the water as filled, (node, start). [degC]"""
    hours = hours_of(case, shown, winter, UNHEATED)
    begin_c = np.stack([hours.mean(node)[starts - 1] for node in range(len(case.network.nodes))])
    begin_c[list(_water_nodes(case))] = start_c
    return begin_c


def _simulate(case: SimulationCase, begin_c: Array, forcing: Forcing, watts: Array) -> tuple[Array, Array]:
    """Tank at the end of each hour, the start first, and the heaters' power, (hour, design, start). [degC, W]"""
    designs, starts = len(watts), begin_c.shape[-1]
    run = simulate(
        case.network.take(np.zeros(designs, dtype=int)),
        forcing,
        case.heaters(watts),
        case.plan.keep.floor_c,
        hourly_output=True,
        start_c=np.repeat(begin_c[:, None, :], designs, axis=1),
        request=OutputRequest(hourly=("water_c", "heater_w")),
    )
    assert run.hourly_output is not None
    tank_c = run.hourly_output.water_c[:HORIZON_H, -1].reshape(HORIZON_H, designs, starts)
    first_c = np.broadcast_to(begin_c[_water_nodes(case)[-1]], (1, designs, starts))
    return np.vstack([first_c, tank_c]), run.hourly_output.heater_w.reshape(HORIZON_H, designs, starts)


def _hours_until(tank_c: Array, target_c: float) -> Array:
    """Hours until the tank is at its minimum, within the hour by a straight line; infinite where it is not. [h]"""
    warm = tank_c >= target_c
    last = np.maximum(warm.argmax(axis=0), 1)
    before, after = (np.take_along_axis(tank_c, index[None], axis=0)[0] for index in (last - 1, last))
    part = (target_c - before) / np.maximum(after - before, 1e-9)
    return np.where(warm.any(axis=0), last - 1 + np.clip(part, 0.0, 1.0), np.inf)


def _heat_until(heat_w: Array, hours: float) -> float | None:
    """Heat given until then [kWh]; None where it is never."""
    if not np.isfinite(hours):
        return None
    whole = int(hours)
    return float(heat_w[:whole].sum() + (hours - whole) * heat_w[min(whole, len(heat_w) - 1)]) / 1000.0


def _power_for_a_day(watts: Array, hours: Array) -> float | None:
    """Power at which the hours are 24, by a straight line in 1/hours between the candidates; None beyond them. [W]"""
    rates = 1.0 / hours
    if rates[-1] < 1.0 / WISHED_H:
        return None
    return float(np.interp(1.0 / WISHED_H, rates, watts))


def _finite(hours: float) -> float | None:
    return float(hours) if np.isfinite(hours) else None
