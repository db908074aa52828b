"""The tariff: the price of electricity at each hour, or by the use of the month."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pandas as pd

from thermal.core.arrays import Array
from thermal.plan.model import Power


def hourly_price(power: Power, times: pd.DatetimeIndex) -> Array:
    """Price of each hour: that of the first period that covers it, or else the base price. [currency/kWh]

    An hour that a period covers in part has a price in proportion.

    Parameters
    ----------
    power : Power
        The tariff.
    times : pandas.DatetimeIndex
        Start of each hour, local standard time.

    Returns
    -------
    Array, shape (hour,)
        The price [currency/kWh].
    """
    price = np.full(len(times), power.price)
    for period in reversed(power.periods):
        share = np.array(period.hours)[times.hour]
        covered = np.isin(times.month, period.months) & np.isin(times.day_of_week, period.weekdays)
        share = np.where(covered, share, 0.0)
        price = share * period.price + (1.0 - share) * price
    return price


def cheap_hours(power: Power) -> Array:
    """Whether each hour of the day costs less than the day's mean, over the months and weekdays of a heating season.

    Returns
    -------
    Array of bool, shape (24,)
        All false where every hour costs the same.
    """
    days = pd.date_range("2023-10-01", "2024-04-30 23:00", freq="h")
    by_hour = hourly_price(power, days).reshape(-1, 24).mean(axis=0)
    return np.asarray(by_hour < by_hour.mean() - 1e-9)


def tiered_cost(power: Power, taken_kwh: Array, kwh: Array) -> Array:
    """Cost of energy used in a month after some use of the month. [currency]

    Parameters
    ----------
    power : Power
        The tariff: its price applies below the first tier, and the price of each tier above it.
    taken_kwh, kwh : Array
        Energy used before, and the energy to pay; broadcast together [kWh].
    """
    bounds = [0.0, *(above for above, _ in power.tiers), np.inf]
    cost = np.zeros(np.broadcast_shapes(np.shape(taken_kwh), np.shape(kwh)))
    prices = [power.price, *(price for _, price in power.tiers)]
    for (low, high), price in zip(pairwise(bounds), prices, strict=True):
        cost += price * (np.clip(taken_kwh + kwh, low, high) - np.clip(taken_kwh, low, high))
    return cost


def month_costs(power: Power, kwh: Array, paid: Array, taken_kwh: Array) -> Array:
    """Cost of a load in each month, with the standing charge. [currency]

    Parameters
    ----------
    power : Power
        The tariff.
    kwh : Array, shape (month, ...)
        Energy of the load [kWh].
    paid : Array, shape (month, ...)
        Sum of each hour's energy times its price [currency]; not used where the tariff has tiers.
    taken_kwh : Array, shape (month, ...)
        Energy used by others before it [kWh]; used only where the tariff has tiers.
    """
    return (tiered_cost(power, taken_kwh, kwh) if power.tiers else paid) + power.monthly_charge
