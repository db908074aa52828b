"""A climate moved to another height, or with a colder coldest night."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd

from thermal.climate.dataset import Climate

LAPSE_K_PER_M = 6.5e-3  # ICAO standard atmosphere
COLD_SPELL_H = 48  # half-width of the spell that `coldest_night` deepens


def at_elevation(climate: Climate, elevation_m: float | None) -> Climate:
    """The climate shifted to another height by the standard lapse."""
    if elevation_m is None:
        return climate
    shift = LAPSE_K_PER_M * (climate.header.elevation_m - elevation_m)
    moved = climate.hours.assign(air_c=climate.hours["air_c"] + shift)
    return replace(climate, hours=moved, header=replace(climate.header, elevation_m=elevation_m))


def with_coldest_night(climate: Climate, coldest_c: float | None) -> Climate:
    """The climate with its coldest spell deepened so that its minimum reaches a temperature.

    Four days round the coldest hour are lowered by a smooth bump; nothing is changed when the series
    is colder already.
    """
    air = climate.hours["air_c"]
    if coldest_c is None or air.min() <= coldest_c:
        return climate
    distance_h = np.abs((air.index - air.idxmin()) / pd.Timedelta("1h"))
    bump = np.where(distance_h < COLD_SPELL_H, 0.5 * (1 + np.cos(np.pi * distance_h / COLD_SPELL_H)), 0.0)
    lowered = climate.hours.assign(air_c=air - (air.min() - coldest_c) * bump)
    return replace(climate, hours=lowered)
