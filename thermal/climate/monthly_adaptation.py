"""A weather file moved to another town's monthly mean temperatures, with its hour-to-hour life kept.

Each hour is shifted by what its month is warmer or colder in the town, and, where the town's record low is known,
stretched about the month's mean: "morphing" of Belcher, Hacker & Powell, Constructing design weather data for future
climates, Building Serv. Eng. Res. Technol. 26 (2005) 49-61 (from memory). Shifts are interpolated from month to month,
so that no step appears between two months.
"""

from __future__ import annotations

from calendar import month_name
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from thermal.climate.dataset import YEAR_H, Climate, Header, hour_of_year
from thermal.climate.winter_minima import RETURN_YEARS, once_in_20_years
from thermal.core.arrays import Array
from thermal.errors import ClimateError
from thermal.physics.sky_temperature import infrared_from_sky, sky_temperature

FEWEST_HOURS = 20 * 24  # of a month, over all years of the file
ROUNDS = 6  # of shifting the middles of the months until the months' means agree
STRETCH = (-0.5, 0.5)  # about the month's mean: more would no longer be the file's own weather (our judgement)
MIDDLE_H = (np.arange(12) + 0.5) * YEAR_H / 12.0  # about, of each month


@dataclass(frozen=True)
class Town:
    """What is known of the weather of a town.

    Attributes
    ----------
    monthly_mean_c : tuple of float
        Mean air temperature of January to December [degC].
    record_low_c : float or None
        Lowest air temperature on record [degC]; None keeps the spread of the weather file.
    elevation_m : float or None
        Height above sea level [m]; None keeps that of the weather file.
    """

    monthly_mean_c: tuple[float, ...]
    record_low_c: float | None = None
    elevation_m: float | None = None


def adapt_to_town(climate: Climate, town: Town) -> Climate:
    """The climate with a town's monthly means and, where it is known, its record low.

    Parameters
    ----------
    climate : Climate
        A weather file with hours of every month.
    town : Town
        The town. Its record low is taken as the coldest hour of about 20 years.

    Returns
    -------
    Climate
        Humidity, wind and cloud are the file's own; the sky stays as far below the air; its sun is left out.

    Raises
    ------
    ClimateError
        When the file lacks a month, its winter is in the other half of the year, or the record low would need weather
        of quite another kind.
    """
    means = monthly_means(climate)
    theirs, own = int(np.argmin(town.monthly_mean_c)), int(np.argmin(means))
    if abs(theirs - own) in range(4, 9):
        raise ClimateError(
            f"monthly_mean: the coldest month is {month_name[theirs + 1]}, that of {climate.header.name!r} is"
            f" {month_name[own + 1]}; write January to December, or take a weather file from your half of the earth"
        )
    stretch = 0.0 if town.record_low_c is None else _stretch(climate, town, town.record_low_c)
    return _shift_and_stretch(climate, town, stretch)


def monthly_means(climate: Climate) -> Array:
    """Mean air temperature of each month of a weather file, all its years together, shape (12,). [degC]

    Parameters
    ----------
    climate : Climate
        The weather file.

    Raises
    ------
    ClimateError
        When a month has fewer than 20 days.
    """
    air = climate.hours["air_c"].dropna()
    by_month = air.groupby(pd.DatetimeIndex(air.index).month)
    counts = by_month.count().reindex(range(1, 13), fill_value=0)
    if (counts < FEWEST_HOURS).any():
        raise ClimateError(
            f"{climate.header.name}: has no whole {month_name[int(counts.idxmin())]}; only a weather file with every"
            " month of the year can be adapted to your town"
        )
    return np.asarray(by_month.mean().to_numpy(dtype=float))


def _shift_and_stretch(climate: Climate, town: Town, stretch: float) -> Climate:
    """The climate shifted to the town's means and stretched about them."""
    air = climate.hours["air_c"]
    hour = hour_of_year(pd.DatetimeIndex(air.index)) % YEAR_H
    means, target = monthly_means(climate), np.array(town.monthly_mean_c)
    about_mean = air.to_numpy(dtype=float) - _through_months(means, hour)
    months = pd.DatetimeIndex(air.index).month
    knots, new = target.copy(), about_mean
    for _ in range(ROUNDS):
        new = _through_months(knots, hour) + (1.0 + stretch) * about_mean
        reached = pd.Series(new, index=air.index).groupby(months).mean().to_numpy(dtype=float)
        knots = knots + target - reached
    hours = climate.hours.assign(air_c=new)
    if "infrared_w_m2" in hours:  # the sky stays as far below the air
        sky_c = sky_temperature(hours["infrared_w_m2"].to_numpy(dtype=float)) + new - air.to_numpy(dtype=float)
        hours["infrared_w_m2"] = infrared_from_sky(sky_c, 1.0)
    return replace(climate, hours=hours, header=_header(climate, town, stretch), sun=None)


def _through_months(values: Array, hour: Array) -> Array:
    """Values of the middles of the months, interpolated at hours of the year."""
    ahead = np.concatenate([[MIDDLE_H[-1] - YEAR_H], MIDDLE_H, [MIDDLE_H[0] + YEAR_H]])
    return np.asarray(np.interp(hour, ahead, np.concatenate([values[-1:], values, values[:1]])))


def _stretch(climate: Climate, town: Town, record_low_c: float) -> float:
    """Stretch about the months' means with which the coldest hour of 20 years is the record low."""
    first, second = (once_in_20_years(_shift_and_stretch(climate, town, share)) for share in (0.0, 0.25))
    share = 0.25 * (record_low_c - first) / (second - first)
    low, high = STRETCH
    if not low <= share <= high:
        raise ClimateError(
            f"record_low: {record_low_c:.1f} °C does not fit these monthly means; with the weather of"
            f" {climate.header.name!r} the coldest hour of 20 years is {first:.0f} °C. Check it, or leave it out"
        )
    return float(share)


def _header(climate: Climate, town: Town, stretch: float) -> Header:
    """The header of the file, which says what was done."""
    header = climate.header
    means = ", ".join(f"{mean:.1f}" for mean in town.monthly_mean_c)
    done = f"shifted by month to the means {means} °C"
    if town.record_low_c is not None:
        done += f" and {'stretched' if stretch >= 0 else 'narrowed'} by {abs(stretch):.0%} about them, so that the"
        done += f" coldest hour of {RETURN_YEARS:.0f} years is {town.record_low_c:.1f} °C"
    return replace(
        header,
        source=f"adapted from {header.place}: {header.source}",
        processing="; ".join(text for text in (header.processing, done) if text),
        elevation_m=header.elevation_m if town.elevation_m is None else town.elevation_m,
        annual_mean_c=None,
        annual_amplitude_k=None,
    )


def town_of(monthly_mean_c: Sequence[float], record_low_c: float | None, elevation_m: float | None = None) -> Town:
    """A town's figures, checked.

    Parameters
    ----------
    monthly_mean_c : sequence of float
        Mean air temperature of January to December [degC].
    record_low_c : float or None
        Lowest air temperature on record [degC].
    elevation_m : float, optional
        Height above sea level [m].

    Raises
    ------
    ClimateError
        When there are not 12 means, or the record low is not below the coldest of them.
    """
    if len(monthly_mean_c) != 12:
        raise ClimateError(
            f"monthly_mean: {len(monthly_mean_c)} temperatures; write 12, the means of January to December"
        )
    if record_low_c is not None and record_low_c >= min(monthly_mean_c):
        raise ClimateError(
            f"record_low: {record_low_c:.1f} °C is not below the coldest month's mean, {min(monthly_mean_c):.1f} °C"
        )
    return Town(tuple(monthly_mean_c), record_low_c, elevation_m)
