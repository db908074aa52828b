"""The cold spells of each winter, in which a heater is tried first."""

from __future__ import annotations

import numpy as np

from thermal.climate.heating_seasons import Weather
from thermal.core.arrays import Array

SPELL_H = 10 * 24  # length of a spell
LEAD_H = 7 * 24  # of it before the coldest hour; slower water is tested by the whole winter
LONG_H = 5 * 24  # the mean over these hours decides for much, well-insulated water


def coldest_days(weather: Weather) -> Array:
    """Row of midnight before the coldest hour of each winter, shape (winter,)."""
    return np.array([_midnight(weather, i, int(np.argmin(_outdoor(weather, i)))) for i in range(len(weather.winters))])


def spell_rows(weather: Weather) -> Array:
    """First rows of two spells a winter, round its coldest hour and its coldest five days; shape (2, winter)."""
    rows = np.empty((2, len(weather.winters)), dtype=int)
    for i in range(len(weather.winters)):
        outdoor = _outdoor(weather, i)
        sums = np.cumsum(np.append(0.0, outdoor))
        ends = LONG_H + int(np.argmin(sums[LONG_H:] - sums[:-LONG_H]))
        rows[0, i] = _midnight(weather, i, int(np.argmin(outdoor)) - LEAD_H)
        rows[1, i] = _midnight(weather, i, ends + 24 - SPELL_H)
    return rows


def _outdoor(weather: Weather, winter: int) -> Array:
    start = weather.spin_up_h
    return weather.outdoor_c[start : start + weather.winters[winter].hours, winter]


def _midnight(weather: Weather, winter: int, hour: int) -> int:
    """The row of the midnight before an hour of a winter, early enough for a spell to follow."""
    latest = max(weather.winters[winter].hours - SPELL_H, 0)
    return int(weather.spin_up_h + min(max(hour, 0), latest) // 24 * 24)
