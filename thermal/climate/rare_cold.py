"""The rare cold spell that a heater is sized for where a weather file has too few winters to contain one."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pandas as pd

from thermal.climate.dataset import YEAR_H, Climate, hour_of_year
from thermal.climate.heating_seasons import Weather
from thermal.climate.season_calendar import season_bounds, standard_offset
from thermal.core.arrays import Array

RETURN_YEARS = 20.0
ENOUGH_WINTERS = 10  # with so many complete winters the weather file speaks for itself
TRUSTED_WINTERS = 3  # fewest whose minima give their own standard deviation
MINIMA_PER_RESIDUAL = 0.7  # sd of winter minima per sd of hourly residuals: 0.69 in 22 winters of Lorraine, MERRA-2
DEEPEST_K = 10.0  # below the coldest hour of the file, at most
REANALYSIS_K = 2.0  # further: a grid cell smooths the coldest hours of a valley (our judgement)
LEAST_K = 0.5  # a spell less deep than this is left out


@dataclass(frozen=True)
class RareCold:
    """The cold spell that heaters are sized for.

    Attributes
    ----------
    outdoor_c : float
        Air temperature of its coldest hour [degC].
    recorded_c : float
        Coldest hour of the simulated winters as recorded [degC].
    winters : int
        Number of complete winters that it rests on.
    basis : str
        Why it is used: "plan", "typical year", "reanalysis" or "few winters".
    """

    outdoor_c: float
    recorded_c: float
    winters: int
    basis: str


def frequency_factor(return_years: float) -> float:
    """Standard deviations between the mean of winter minima and the minimum of a return period.

    Parameters
    ----------
    return_years : float
        Return period [years], more than 1.

    Returns
    -------
    float
        K in T = mean - K sd [-]; 1.866 for 20 years.

    Notes
    -----
    K = -(sqrt(6)/pi) (0.577216 + ln ln(T/(T - 1))), Gumbel's law of extremes with its moments.

    Source: Gumbel's law for the smallest of many values, method of moments; ASHRAE Handbook of Fundamentals, chapter
    14, uses the same for its extreme values of n years (from memory).
    """
    return -math.sqrt(6.0) / math.pi * (np.euler_gamma + math.log(math.log(return_years / (return_years - 1.0))))


def rare_cold(climate: Climate, weather: Weather, given_c: float | None = None) -> RareCold | None:
    """The rare cold spell of a place, about once in 20 years.

    Parameters
    ----------
    climate : Climate
        The weather file, all of it.
    weather : Weather
        Those of its winters that are simulated.
    given_c : float, optional
        Record low of the place [degC]; then nothing is worked out.

    Returns
    -------
    RareCold or None
        None where the winters are as cold already, or there are ten complete ones of a weather station.

    Raises
    ------
    ClimateError
        When the climate's time zone is not an IANA time zone.

    Notes
    -----
    Mean of the winter minima less 1.866 of their standard deviation. With fewer than three complete winters the
    standard deviation is 0.7 of that of hourly residuals. A reanalysis gets 2 K more, whatever its length. Never more
    than 10 K below the coldest hour recorded.
    """
    recorded = coldest_hour_c(weather)
    minima = winter_minima(climate)
    if given_c is not None:
        return RareCold(given_c, recorded, len(minima), "plan") if given_c < recorded else None
    basis = _basis(climate, weather)
    if not basis:
        return None
    mean = float(minima.mean()) if minima.size else recorded
    few = len(minima) < TRUSTED_WINTERS
    sd = MINIMA_PER_RESIDUAL * residual_sd(climate) if few else float(minima.std(ddof=1))
    target = min(recorded, mean - frequency_factor(RETURN_YEARS) * sd)
    target = max(target - (REANALYSIS_K if is_reanalysis(climate) else 0.0), recorded - DEEPEST_K)
    return RareCold(target, recorded, len(minima), basis) if target < recorded - LEAST_K else None


def is_reanalysis(climate: Climate) -> bool:
    """Whether the weather file's header says that it is a reanalysis, in its source or its processing."""
    header = climate.header
    return any("reanalysis" in text.lower() for text in (header.source, header.processing, header.kind))


def winter_minima(climate: Climate) -> Array:
    """Hourly means of the coldest hour in each complete winter of a weather file, shape (winter,). [degC]

    Raises
    ------
    ClimateError
        When the climate's time zone is not an IANA time zone.
    """
    air = climate.hours["air_c"]
    means = 0.5 * (air + air.shift(-1))
    minima = []
    for year in range(air.index[0].year - 1, air.index[-1].year + 1):
        offset = standard_offset(climate.header.timezone, year)
        start, end = (pd.Timestamp(bound - offset, tz="UTC") for bound in season_bounds(year, climate.south))
        winter = means.loc[start : end - pd.Timedelta("1h")]
        if len(winter) == (end - start) / pd.Timedelta("1h") and winter.notna().all():
            minima.append(float(winter.min()))
    return np.array(minima)


def residual_sd(climate: Climate) -> float:
    """Standard deviation of the winter's hours about a yearly and a daily wave. [K]

    Constant weather, or weather that repeats itself every day and year, has none.
    """
    air = climate.hours["air_c"].dropna()
    year = 2 * np.pi * hour_of_year(air.index) / YEAR_H
    day = 2 * np.pi * np.asarray(air.index.hour) / 24.0
    basis = np.column_stack([np.ones(len(air)), np.cos(year), np.sin(year), np.cos(day), np.sin(day)])
    values = air.to_numpy(dtype=float)
    residuals = values - basis @ np.linalg.lstsq(basis, values, rcond=None)[0]
    summer = range(11, 13) if climate.south else range(5, 10)
    in_winter = ~air.index.month.isin([*summer, *((1, 2, 3) if climate.south else ())])
    return float(residuals[in_winter].std()) if in_winter.any() else 0.0


def coldest_hour_c(weather: Weather) -> float:
    """Mean temperature of the coldest hour of all winters. [degC]"""
    return min(
        float(weather.outdoor_c[weather.spin_up_h : weather.spin_up_h + winter.hours, column].min())
        for column, winter in enumerate(weather.winters)
    )


def _basis(climate: Climate, weather: Weather) -> str:
    """Why a rare cold spell is added to the weather file; empty where none is."""
    if climate.header.kind == "typical year":
        return "typical year"
    if is_reanalysis(climate):
        return "reanalysis"
    return "few winters" if sum(winter.complete for winter in weather.winters) < ENOUGH_WINTERS else ""
