"""A climate shifted to another elevation, or with a colder coldest night."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd

from thermal.climate.dataset import Climate

LAPSE_K_PER_M = 6.5e-3  # ICAO standard atmosphere
COLD_SPELL_H = 48  # hours lowered before the coldest hour, and after it


def at_elevation(climate: Climate, elevation_m: float | None) -> Climate:
    """The climate with its air temperature shifted to another elevation.

    Parameters
    ----------
    climate : Climate
        The climate.
    elevation_m : float or None
        Elevation of the site [m]; None leaves the climate as it is.

    Returns
    -------
    Climate
        Air temperature lower by 6.5 K for each 1,000 m of height.

    Source: ICAO standard atmosphere.
    """
    if elevation_m is None:
        return climate
    shift = LAPSE_K_PER_M * (climate.header.elevation_m - elevation_m)
    moved = climate.hours.assign(air_c=climate.hours["air_c"] + shift)
    return replace(climate, hours=moved, header=replace(climate.header, elevation_m=elevation_m))


def with_coldest_night(climate: Climate, coldest_c: float | None) -> Climate:
    """The climate with a colder cold spell, so that its minimum reaches a given temperature.

    The four days around the coldest hour are lowered, most at that hour and less towards both ends.

    Parameters
    ----------
    climate : Climate
        The climate.
    coldest_c : float or None
        Air temperature of the coldest hour [degC]; None leaves the climate as it is.

    Returns
    -------
    Climate
        Unchanged where an hour is as cold already.
    """
    air = climate.hours["air_c"]
    if coldest_c is None or air.min() <= coldest_c:
        return climate
    distance_h = np.abs((air.index - air.idxmin()) / pd.Timedelta("1h"))
    bump = np.where(distance_h < COLD_SPELL_H, 0.5 * (1 + np.cos(np.pi * distance_h / COLD_SPELL_H)), 0.0)
    lowered = climate.hours.assign(air_c=air - (air.min() - coldest_c) * bump)
    return replace(climate, hours=lowered)
