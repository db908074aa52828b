"""The heat of a sun collector hour by hour, as a column of the weather of a plan that has one.

The heat depends on the water's temperature, and that on the heat. Both are worked out in turns until they agree.
"""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

import numpy as np

from thermal.analysis.case import SimulationCase, network_of
from thermal.climate.design_winter import design_weather
from thermal.climate.forcing import NEITHER, OTHER_HEAT, OutdoorColumns
from thermal.climate.heating_seasons import Weather, winters_of
from thermal.climate.sun_and_sky import sun_on_tilted_plane
from thermal.core.arrays import Array
from thermal.physics.solar_collector import collector_heat
from thermal.plan.model import Plan
from thermal.plan.other_heat import Collector
from thermal.solver.results import OutputRequest
from thermal.solver.state import HOUR_S

ROUNDS, AGREED = 6, 0.01  # at most; change of the hours' heat from round to round at which the turns end
KEPT_H, KEPT_RANGE_H = 24.0, (2.0, 500.0)  # for which heat stays in the water: only sets how soon the turns agree


class Water(NamedTuple):
    """The water of the tank hour by hour."""

    begin_c: Array  # (hour, winter)
    mean_c: Array  # (hour, winter)
    wh_per_k: float  # heat capacity of all water
    kept_h: float = KEPT_H


def with_sun_on_collector(case: SimulationCase, collector: Collector) -> SimulationCase | None:
    """The plan in weather with a column more, the sun on the collector [W/m2]; None where no sun is known or wanted.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate, with the hours of the weather file.
    collector : Collector
        Where the collector faces.
    """
    import pandas as pd

    choice = case.plan.climate
    sun = sun_on_tilted_plane(case.climate, collector.tilt_deg, collector.facing) if choice.sun else None
    if sun is None:
        return None
    columns = OutdoorColumns(pd.DataFrame({OTHER_HEAT: sun}, index=case.climate.hours.index), NEITHER)
    plane = winters_of(case.climate, choice.winters, columns).columns
    assert plane is not None
    weather, shape = case.weather, (*plane.shape[:1], OTHER_HEAT, *plane.shape[2:])
    before = np.zeros(shape, plane.dtype) if weather.columns is None else weather.columns
    clear = np.zeros(weather.outdoor_c.shape, dtype=bool) if weather.clear_days is None else weather.clear_days
    weather = replace(weather, columns=np.concatenate([before, plane], axis=1), clear_days=clear)
    design = design_weather(weather, case.rare_cold.outdoor_c) if case.rare_cold else None
    return replace(case, weather=weather, design=design)


def with_collector_heat(case: SimulationCase, plan: Plan, collector: Collector, heater_w: float) -> SimulationCase:
    """The plan's weather with the collector's heat in place of the sun on it.

    Parameters
    ----------
    case : SimulationCase
        Of `with_sun_on_collector`.
    plan : Plan
        The plan with the collector.
    collector : Collector
        The collector.
    heater_w : float
        Power of the heaters, which set how warm the water is [W].
    """
    weather = _with_heat(case, plan, collector, heater_w)
    rare = case.in_rare_cold
    design = None if rare is None else _with_heat(rare, plan, collector, heater_w)
    return replace(case, weather=weather, design=design)


def _with_heat(case: SimulationCase, plan: Plan, collector: Collector, heater_w: float) -> Weather:
    """The weather of a case with the collector's heat as the tank's temperature allows; none in the spin-up."""
    weather = case.weather
    assert weather.columns is not None
    counted = slice(weather.spin_up_h, None)
    sun, outdoor_c = weather.columns[counted, OTHER_HEAT].astype(float), weather.outdoor_c[counted]
    heat_w, before, kept_h = np.zeros_like(sun), None, KEPT_H
    for _ in range(ROUNDS):
        changed = _in_column(weather, heat_w)
        own = replace(case, plan=plan, weather=changed, network=network_of(plan, changed))
        water = _water(own, heater_w, len(sun))
        if before is not None:  # what the heat of the last turn warmed the water by
            warmer_k = float((water.mean_c - before[0].mean_c).sum())
            kept_h = float(np.clip(water.wh_per_k * warmer_k / (heat_w - before[1]).sum(), *KEPT_RANGE_H))
        before = water, heat_w
        now_w = _heat(collector, plan, water._replace(kept_h=kept_h), (sun, outdoor_c, heat_w))
        agreed = abs(now_w - heat_w).sum() <= AGREED * now_w.sum()
        heat_w = now_w
        if agreed:
            break
    return _in_column(weather, heat_w)


def _water(case: SimulationCase, heater_w: float, hours: int) -> Water:
    """The tank hour by hour, its last value repeated where a winter is shorter."""
    wanted = OutputRequest(hourly=("mean_c", "water_c"))
    run = case.simulate(case.heaters(np.array([heater_w])), hourly_output=True, request=wanted)
    assert run.hourly_output is not None
    nodes = case.network.vessels.water_nodes if case.network.vessels else ()
    mean_c, end_c = run.hourly_output.mean_c[:, nodes[-1]], run.hourly_output.water_c[:, -1]
    rows = np.minimum(np.arange(hours), len(mean_c) - 1)
    begin_c = np.concatenate([mean_c[:1], end_c[:-1]])
    return Water(begin_c[rows], mean_c[rows], float(case.network.capacity_j_per_k[list(nodes), 0].sum()) / HOUR_S)


def _heat(collector: Collector, plan: Plan, water: Water, given: tuple[Array, Array, Array]) -> Array:
    """Heat of the whole collector in each hour, from the sun on it, the outdoor air and the heat before. [W]

    The water's temperature follows the change of heat hour by hour, so that the turns agree soon: what more heat came
    in before stays in the water and is lost with a time constant of some days.
    """
    sun, outdoor_c, before_w = given
    highest_c = plan.keep.upper_c if collector.max_c is None else collector.max_c
    heat_w, warmer_k = np.zeros_like(sun), np.zeros(sun.shape[1])
    for hour in range(len(sun)):
        tank_c = water.mean_c[hour] + warmer_k
        free = collector.area_m2 * collector_heat(sun[hour], tank_c - outdoor_c[hour], *collector.coefficients)
        room = np.maximum(highest_c - water.begin_c[hour] - warmer_k, 0.0) * water.wh_per_k
        heat_w[hour] = np.minimum(free, room)
        warmer_k += (heat_w[hour] - before_w[hour]) / water.wh_per_k - warmer_k / water.kept_h
    return heat_w


def _in_column(weather: Weather, heat_w: Array) -> Weather:
    """The weather with some heat in its last column, shape (hour after the spin-up, winter)."""
    assert weather.columns is not None
    columns = weather.columns.copy()
    columns[:, OTHER_HEAT] = 0.0
    columns[weather.spin_up_h :, OTHER_HEAT] = heat_w
    return replace(weather, columns=columns)
