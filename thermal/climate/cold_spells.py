"""The cold spells of each winter, on which heaters are sized first."""

from __future__ import annotations

import numpy as np

from thermal.climate.heating_seasons import Weather
from thermal.core.arrays import Array

SPELL_H = 10 * 24  # hours of a spell
LEAD_H = 7 * 24  # hours of the spell before the coldest hour; slower water is tested on the whole winter
LONG_H = 5 * 24  # hours of the mean temperature that matters for much, well-insulated water


def coldest_days(weather: Weather) -> Array:
    """Row of the midnight before the coldest hour of each winter, shape (winter,)."""
    return np.array([_midnight(weather, i, int(np.argmin(_outdoor(weather, i)))) for i in range(len(weather.winters))])


def spell_rows(weather: Weather) -> Array:
    """First rows of two cold spells in each winter.

    Parameters
    ----------
    weather : Weather
        The winters.

    Returns
    -------
    Array of int, shape (2, winter)
        The spell around the coldest hour, and the spell that ends less than a day after the coldest five days.
    """
    rows = np.empty((2, len(weather.winters)), dtype=int)
    for i in range(len(weather.winters)):
        outdoor = _outdoor(weather, i)
        sums = np.cumsum(np.append(0.0, outdoor))
        ends = LONG_H + int(np.argmin(sums[LONG_H:] - sums[:-LONG_H]))
        rows[0, i] = _midnight(weather, i, int(np.argmin(outdoor)) - LEAD_H)
        rows[1, i] = _midnight(weather, i, ends + 24 - SPELL_H)
    return rows


def _outdoor(weather: Weather, winter: int) -> Array:
    """Outdoor temperature of each hour of a winter, without its spin-up. [degC]"""
    start = weather.spin_up_h
    return weather.outdoor_c[start : start + weather.winters[winter].hours, winter]


def _midnight(weather: Weather, winter: int, hour: int) -> int:
    """Row of the midnight before an hour of a winter, early enough for a whole spell to follow."""
    latest = max(weather.winters[winter].hours - SPELL_H, 0)
    return int(weather.spin_up_h + min(max(hour, 0), latest) // 24 * 24)
