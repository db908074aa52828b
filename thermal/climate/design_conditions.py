"""Figures of a climate for heater sizing: design temperatures, cold spells and degree-hours."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from thermal.climate.dataset import Climate
from thermal.climate.heating_seasons import Weather
from thermal.climate.season_calendar import standard_offset

DESIGN_HOURS = {"99.6 %": 35, "99 %": 88}  # hours a year that are colder, on average; ASHRAE Fundamentals ch. 14

WINTER_H = 212 * 24.0  # hours of a winter, October to April


@dataclass(frozen=True)
class WinterStats:
    """Cold of one winter.

    Attributes
    ----------
    label : str
        Name of the winter.
    complete : bool
        Whether the weather file covers all of it.
    hours : int
        Hours that the file covers.
    coldest_hour_c : float
        Lowest hourly mean [degC].
    coldest_day_c : float
        Lowest mean of 24 hours [degC].
    coldest_3_days_c : float
        Lowest mean of 72 hours [degC].
    coldest_week_c : float
        Lowest mean of 168 hours [degC].
    degree_hours : float
        Sum of the hourly differences below the given temperature [K h].
    filled_hours : int
        Hours whose air temperature was filled in.
    cold_spell_filled : bool
        Whether one of the coldest 72 hours was filled in.
    """

    label: str
    complete: bool
    hours: int
    coldest_hour_c: float
    coldest_day_c: float
    coldest_3_days_c: float
    coldest_week_c: float
    degree_hours: float
    filled_hours: int
    cold_spell_filled: bool


def design_temperatures(climate: Climate, weather: Weather) -> dict[str, float]:
    """Design temperatures: the air is colder for 35 and 88 hours a winter on average. [degC]

    Parameters
    ----------
    climate : Climate
        The climate.
    weather : Weather
        Its winters; an incomplete winter counts by its share of hours.

    Returns
    -------
    dict of str to float
        By the names "99.6 %" and "99 %" [degC].

    Source: ASHRAE Handbook of Fundamentals, chapter 14.
    """
    air = np.sort(climate.hours["air_c"].dropna().to_numpy())
    winters = max(1.0, covered_winters(weather))
    return {name: float(air[min(len(air), round(hours * winters)) - 1]) for name, hours in DESIGN_HOURS.items()}


def covered_winters(weather: Weather) -> float:
    """Number of winters whose hours a weather file has; an incomplete winter counts by its share of hours. [-]"""
    return sum(winter.hours for winter in weather.winters) / WINTER_H


def winter_stats(climate: Climate, weather: Weather, floor_c: float) -> list[WinterStats]:
    """Cold of each winter.

    Parameters
    ----------
    climate : Climate
        The climate, for the hours that were filled in.
    weather : Weather
        Its winters.
    floor_c : float
        Degree-hours are counted below this temperature [degC].

    Returns
    -------
    list of WinterStats
        One for each winter.

    Raises
    ------
    ClimateError
        When the climate's time zone is not an IANA time zone.
    """
    rows = []
    for place, winter in enumerate(weather.winters):
        span = slice(weather.spin_up_h, weather.spin_up_h + winter.hours)
        air = pd.Series(weather.outdoor_c[span, place], index=winter.times())
        three = air.rolling(72).mean()
        filled = _filled_in_spell(climate, winter.times(), int(np.nanargmin(three.to_numpy())))
        rows.append(
            WinterStats(
                label=winter.label,
                complete=winter.complete,
                hours=winter.hours,
                coldest_hour_c=float(air.min()),
                coldest_day_c=float(air.rolling(24).mean().min()),
                coldest_3_days_c=float(three.min()),
                coldest_week_c=float(air.rolling(168).mean().min()),
                degree_hours=float(np.maximum(floor_c - air, 0.0).sum()),
                filled_hours=winter.filled_hours,
                cold_spell_filled=filled,
            )
        )
    return rows


def _filled_in_spell(climate: Climate, times: pd.DatetimeIndex, end: int) -> bool:
    """Whether one of the coldest 72 hours was filled in."""
    offset = standard_offset(climate.header.timezone, times[0].year)
    spell = (times[max(0, end - 71) : end + 1] - offset).tz_localize("UTC")
    return bool(climate.hours["filled"].reindex(spell, fill_value=False).any())
