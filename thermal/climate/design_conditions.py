"""What a climate asks of a heater: design temperatures, cold spells, degree-hours, coverage."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from thermal.climate.dataset import Climate
from thermal.climate.heating_seasons import Weather
from thermal.climate.season_calendar import standard_offset

DESIGN_HOURS = {"99.6 %": 35, "99 %": 88}  # hours a year undercut on average, ASHRAE Fundamentals ch. 14


@dataclass(frozen=True)
class WinterStats:
    """One winter: coldest hour and coldest means over days [degC], degree-hours under a floor [K h], coverage."""

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
    """Temperatures undercut 35 and 88 hours a winter on average; winters in part count by their share of hours."""
    air = np.sort(climate.hours["air_c"].dropna().to_numpy())
    winters = max(1.0, sum(winter.hours for winter in weather.winters) / 5088.0)
    return {name: float(air[min(len(air), round(hours * winters)) - 1]) for name, hours in DESIGN_HOURS.items()}


def winter_stats(climate: Climate, weather: Weather, floor_c: float) -> list[WinterStats]:
    """One row a winter."""
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
    """Whether any of the coldest 72 hours is not from the source."""
    offset = standard_offset(climate.header.timezone, times[0].year)
    spell = (times[max(0, end - 71) : end + 1] - offset).tz_localize("UTC")
    return bool(climate.hours["filled"].reindex(spell, fill_value=False).any())
