"""The rare cold spell that a heater is sized for where a weather file has too few winters to contain one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from thermal.climate.dataset import Climate
from thermal.climate.heating_seasons import Weather
from thermal.climate.winter_minima import rare_minimum, winter_minima

ENOUGH_WINTERS = 10  # with so many complete winters the weather file speaks for itself
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
    target = min(recorded, rare_minimum(climate, minima if minima.size else np.array([recorded])))
    target = max(target - (REANALYSIS_K if is_reanalysis(climate) else 0.0), recorded - DEEPEST_K)
    return RareCold(target, recorded, len(minima), basis) if target < recorded - LEAST_K else None


def is_reanalysis(climate: Climate) -> bool:
    """Whether the weather file's header says that it is a reanalysis, in its source or its processing."""
    header = climate.header
    return any("reanalysis" in text.lower() for text in (header.source, header.processing, header.kind))


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
