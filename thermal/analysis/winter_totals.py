"""Sums over the hours of a winter: energy and prices by month, the median and the worst winter."""

from __future__ import annotations

import numpy as np
import pandas as pd

from thermal.analysis.case import SimulationCase
from thermal.climate.heating_seasons import Weather
from thermal.core.arrays import Array
from thermal.plan import tariff
from thermal.plan.model import Plan

JOULES_PER_KWH = 3.6e6


def median_and_worst(weather: Weather, kwh: Array) -> tuple[int, int]:
    """The median winter, a real one, and the worst: of the complete winters by kWh.

    Of two in the middle the dearer. Where no winter is complete the longest stands in for them.
    """
    whole = [i for i, winter in enumerate(weather.winters) if winter.complete]
    longest = int(np.argmax([winter.hours for winter in weather.winters]))
    ranked = sorted(whole or [longest], key=lambda i: kwh[i])
    return ranked[len(ranked) // 2], ranked[-1]


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


def price_weights(case: SimulationCase) -> Array:
    """Price of every hour of the drive, shape (hour, winter); zero in the spin-up and beyond a winter's end."""
    weights = np.zeros_like(case.forcing.outdoor_c)
    start = case.weather.spin_up_h
    for i, winter in enumerate(case.weather.winters):
        weights[start : start + winter.hours, i] = tariff.hourly_price(case.plan.power, winter.times())
    return weights


def monthly_kwh(marked_j: Array, months: int) -> Array:
    """Energy in each month from what was marked by the month ends, shape (mark, ...) to (month, ...). [kWh]"""
    return np.diff(marked_j[:months], axis=0, prepend=0.0) / JOULES_PER_KWH
