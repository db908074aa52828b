"""What a kilowatt-hour costs: at each hour, or by how much a month has taken already."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pandas as pd

from thermal.core.arrays import Array
from thermal.plan.model import Power

SEASON_MONTHS = (10, 11, 12, 1, 2, 3, 4)


def hourly_price(power: Power, times: pd.DatetimeIndex) -> Array:
    """Price of each hour [currency/kWh]: the first period that covers it, else the base price.

    times : local hours. An hour that a period covers only in part is priced in proportion.
    """
    price = np.full(len(times), power.price)
    for period in reversed(power.periods):
        share = np.array(period.hours)[times.hour]
        covered = np.isin(times.month, period.months) & np.isin(times.day_of_week, period.weekdays)
        share = np.where(covered, share, 0.0)
        price = share * period.price + (1.0 - share) * price
    return price


def cheap_hours(power: Power) -> Array:
    """Hours of the day that cost less than the day's mean, over a heating season's months and weekdays.

    Returns
    -------
    Array of bool, shape (24,)
        All false where every hour costs the same.
    """
    days = pd.date_range("2023-10-01", "2024-04-30 23:00", freq="h")
    by_hour = hourly_price(power, days).reshape(-1, 24).mean(axis=0)
    return np.asarray(by_hour < by_hour.mean() - 1e-9)


def tiered_cost(power: Power, taken_kwh: Array, kwh: Array) -> Array:
    """Cost of a month's kWh that come on top of what the month has taken already. [currency]

    taken_kwh, kwh : broadcast together; the first kWh cost `power.price`, those above each tier its own price.
    """
    bounds = [0.0, *(above for above, _ in power.tiers), np.inf]
    cost = np.zeros(np.broadcast_shapes(np.shape(taken_kwh), np.shape(kwh)))
    every = [power.price, *(price for _, price in power.tiers)]
    for (low, high), price in zip(pairwise(bounds), every, strict=True):
        cost += price * (np.clip(taken_kwh + kwh, low, high) - np.clip(taken_kwh, low, high))
    return cost


def month_costs(power: Power, kwh: Array, paid: Array, taken_kwh: Array) -> Array:
    """What a load costs in each month, the standing charge included. [currency]

    Parameters
    ----------
    kwh, paid : Array, shape (month, ...)
        Energy, and the sum of each hour's energy times its price.
    taken_kwh : Array, shape (month, ...)
        What the house takes before it; matters to tiers only.
    """
    return (tiered_cost(power, taken_kwh, kwh) if power.tiers else paid) + power.monthly_charge
