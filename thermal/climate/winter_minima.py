"""The coldest hours of a weather file's winters, and what they say of about 20 years."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd

from thermal.climate.dataset import YEAR_H, Climate, hour_of_year
from thermal.climate.season_calendar import season_bounds, standard_offset
from thermal.core.arrays import Array

RETURN_YEARS = 20.0
TRUSTED_WINTERS = 3  # fewest whose minima give their own standard deviation
MINIMA_PER_RESIDUAL = 0.7  # sd of winter minima per sd of hourly residuals: 0.69 in 22 winters of Lorraine, MERRA-2


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


def once_in_20_years(climate: Climate) -> float:
    """Coldest hour of about 20 years, by the winters of a weather file as in `rare_cold`. [degC]

    Parameters
    ----------
    climate : Climate
        The weather file; without a complete winter its coldest hour stands for one.
    """
    minima = winter_minima(climate)
    return rare_minimum(climate, minima if minima.size else np.array([float(climate.hours["air_c"].min())]))


def rare_minimum(climate: Climate, minima: Array) -> float:
    """Mean of the winter minima less their standard deviation times the frequency factor. [degC]

    Parameters
    ----------
    climate : Climate
        The weather file, whose hours give the standard deviation where there are fewer than three winters.
    minima : Array, shape (winter,)
        Coldest hour of each complete winter [degC].
    """
    few = len(minima) < TRUSTED_WINTERS
    sd = MINIMA_PER_RESIDUAL * residual_sd(climate) if few else float(minima.std(ddof=1))
    return float(minima.mean()) - frequency_factor(RETURN_YEARS) * sd


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
