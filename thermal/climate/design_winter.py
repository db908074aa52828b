"""The weather that heaters are sized in beside the recorded winters: some weeks with a rare cold spell."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd

from thermal.climate.heating_seasons import Weather, coldest_days
from thermal.climate.season_calendar import SPIN_UP_H
from thermal.core.arrays import Array
from thermal.physics import moist_air

COLD_SPELL_H = 48  # hours lowered before the coldest hour, and after it
LEAD_DAYS = 30  # of a winter before its coldest hour, after the spin-up: the slab then follows the season
AFTER_DAYS = 7  # of a winter after its coldest hour: much water is coldest some days later


def with_deeper_spell(air_c: Array, coldest: int, outdoor_c: float) -> Array:
    """Air temperature with its coldest spell made colder.

    Parameters
    ----------
    air_c : Array, shape (hour,)
        Air temperature [degC].
    coldest : int
        Index of its coldest hour.
    outdoor_c : float
        Temperature of that hour in the result [degC].

    Returns
    -------
    Array, shape (hour,)
        The four days around the coldest hour are lowered, most at that hour and less towards both ends; unchanged
        where it is as cold already.
    """
    distance_h = np.abs(np.arange(len(air_c)) - coldest)
    bump = np.where(distance_h < COLD_SPELL_H, 0.5 * (1 + np.cos(np.pi * distance_h / COLD_SPELL_H)), 0.0)
    return air_c - max(float(air_c[coldest]) - outdoor_c, 0.0) * bump


def design_weather(weather: Weather, outdoor_c: float, *, whole: bool = False) -> Weather:
    """Some weeks around the coldest hour of all winters, with that cold spell made colder.

    Parameters
    ----------
    weather : Weather
        The winters as recorded.
    outdoor_c : float
        Temperature of the coldest hour [degC].
    whole : bool
        Keep all of that winter; the heater needed is then the same within 1 %.

    Returns
    -------
    Weather
        One incomplete winter with its spin-up. Relative humidity stays as recorded.
    """
    ends = [weather.spin_up_h + winter.hours for winter in weather.winters]
    minima = [weather.outdoor_c[weather.spin_up_h : end, i].min() for i, end in enumerate(ends)]
    column = int(np.argmin(minima))
    winter, air_c = weather.winters[column], weather.outdoor_c[:, column]
    coldest = weather.spin_up_h + int(np.argmin(air_c[weather.spin_up_h : ends[column]]))
    cold_c = with_deeper_spell(air_c, coldest, outdoor_c)
    vapour_pa = moist_air.vapour_pressure(weather.humidity_ratio[:, column], weather.pressure_pa)
    vapour_pa *= moist_air.water_saturation_pressure(cold_c) / moist_air.water_saturation_pressure(air_c)
    first = 0 if whole else max(coldest // 24 - LEAD_DAYS - SPIN_UP_H // 24, 0) * 24
    last = ends[column] if whole else min((coldest // 24 + AFTER_DAYS) * 24, ends[column])
    part = replace(
        winter, start=winter.start + pd.Timedelta(hours=first), hours=last - first - SPIN_UP_H, complete=False
    )
    clear = None
    if weather.clear_days is not None:
        rows = slice(SPIN_UP_H, last - first)
        clear = coldest_days(cold_c[first:last, None], lambda _: rows) & weather.clear_days.any()
    return replace(
        weather,
        winters=(part,),
        outdoor_c=cold_c[first:last, None],
        humidity_ratio=moist_air.humidity_ratio(vapour_pa, weather.pressure_pa)[first:last, None],
        **{
            name: getattr(weather, name)[first:last, column : column + 1]
            for name in ("wind_m_s", "season_cos", "season_sin")
        },
        refused=(),
        columns=None if weather.columns is None else weather.columns[first:last, :, column : column + 1],
        clear_days=clear,
    )
