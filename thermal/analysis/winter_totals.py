"""Sums over the hours of a winter: energy and prices by month, and which winter is typical and which is the worst."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from thermal.climate.heating_seasons import Weather
from thermal.core.arrays import Array
from thermal.plan import tariff
from thermal.plan.model import Plan

if TYPE_CHECKING:
    from thermal.analysis.case import SimulationCase

JOULES_PER_KWH = 3.6e6


def median_and_worst(weather: Weather, kwh: Array) -> tuple[int, int]:
    """Index of the typical (median) winter and of the worst winter, by the heater's energy.

    Only complete winters count. Where none is complete, the longest is both. Of two winters in the middle, the one with
    more energy is the typical one.

    Parameters
    ----------
    weather : Weather
        The winters.
    kwh : Array, shape (winter,)
        The heater's energy, in any unit.
    """
    ranked = sorted(complete_winters(weather), key=lambda i: kwh[i])
    return ranked[len(ranked) // 2], ranked[-1]


def complete_winters(weather: Weather) -> list[int]:
    """Indices of the complete winters; where none is complete, that of the longest."""
    longest = int(np.argmax([winter.hours for winter in weather.winters]))
    return [i for i, winter in enumerate(weather.winters) if winter.complete] or [longest]


def other_w(plan: Plan) -> Array:
    """Electric power of pump, lights and other loads by hour of the day, (24,). [W]"""
    loads = sum(load.power_w * np.array(load.hours) for load in plan.loads if load.electric)
    return np.asarray(plan.pump.power_w * np.array(plan.pump.hours) + loads)


def monthly_sums(times: pd.DatetimeIndex, hourly: Array) -> Array:
    """Sums over each month of a winter, in the unit of the values.

    Parameters
    ----------
    times : pandas.DatetimeIndex
        Start of each hour of the winter, local standard time.
    hourly : Array, shape (hour, ...)
        Value of each hour.

    Returns
    -------
    Array, shape (month, ...)
        In order of time.
    """
    starts = np.flatnonzero(np.diff(times.month, prepend=0))
    return np.asarray(np.add.reduceat(hourly, starts, axis=0))


def other_months(plan: Plan, times: pd.DatetimeIndex) -> Array:
    """Electricity of household, pump, lights and other loads in each month. [kWh]

    Parameters
    ----------
    plan : Plan
        The plan.
    times : pandas.DatetimeIndex
        Start of each hour of the winter, local standard time.
    """
    return plan.power.household_kwh + monthly_sums(times, other_w(plan)[times.hour] / 1000.0)


def heater_months(case: SimulationCase, heat_w: Array, winter: int) -> tuple[Array, Array]:
    """Energy [kWh] and cost [currency] of heaters in each month of a winter.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    heat_w : Array, shape (hour,)
        Power of the heaters in each hour of the winter [W].
    winter : int
        Index of the winter.
    """
    times = case.weather.winters[winter].times()
    return _load_months(case.plan, times, heat_w, other_months(case.plan, times))


def load_cost(plan: Plan, times: pd.DatetimeIndex, load_w: Array, before_kwh: Array | float) -> float:
    """Cost of a load in a winter, without the standing charge. [currency]

    Parameters
    ----------
    plan : Plan
        The plan, for its tariff.
    times : pandas.DatetimeIndex
        Start of each hour of the winter, local standard time.
    load_w : Array, shape (hour,)
        Power of the load [W].
    before_kwh : Array or float, shape (month,)
        Energy used by others before it in each month, which counts in tiers [kWh].
    """
    _, costs = _load_months(plan, times, load_w, before_kwh)
    return float((costs - plan.power.monthly_charge).sum())


def _load_months(plan: Plan, times: pd.DatetimeIndex, load_w: Array, before_kwh: Array | float) -> tuple[Array, Array]:
    """Energy [kWh] and cost with the standing charge [currency] of a load in each month, after others in tiers."""
    hourly, power = load_w / 1000.0, plan.power
    kwh, paid = monthly_sums(times, hourly), monthly_sums(times, hourly * tariff.hourly_price(power, times))
    return kwh, tariff.month_costs(power, kwh, paid, np.broadcast_to(before_kwh, kwh.shape))


def price_weights(case: SimulationCase) -> Array:
    """Price of every hour of the forcing, zero outside of the winters, (hour, winter). [currency/kWh]"""
    weights = np.zeros_like(case.forcing.outdoor_c)
    start = case.weather.spin_up_h
    for i, winter in enumerate(case.weather.winters):
        weights[start : start + winter.hours, i] = tariff.hourly_price(case.plan.power, winter.times())
    return weights


def weights_of_devices(weights: Array) -> Array:
    """Factors on the electricity of devices that dry the air, beside those on the heat of a heater.

    Parameters
    ----------
    weights : Array, shape (1 or 3, hour, winter)
        Price of each hour [currency/kWh], and a heat pump's electricity [-] and price [currency/kWh] for its heat.

    Returns
    -------
    Array, shape (1 or 3, hour, winter)
        Price, and of the heat pump's the electricity itself and its price.
    """
    return weights if len(weights) == 1 else np.stack([weights[0], np.ones_like(weights[0]), weights[0]])


def monthly_kwh(marked_j: Array, months: int) -> Array:
    """Energy in each month, from sums up to the end of each month. [kWh]

    Parameters
    ----------
    marked_j : Array, shape (mark, ...)
        Energy from the winter's start to each month's end [J].
    months : int
        Number of months.

    Returns
    -------
    Array, shape (month, ...)
        Energy [kWh].
    """
    return np.diff(marked_j[:months], axis=0, prepend=0.0) / JOULES_PER_KWH
