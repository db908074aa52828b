"""Outdoor conditions by hour, as the solver takes them: what a climate hands to a network."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from thermal.core.arrays import Array

OUTDOOR, HUMIDITY, WIND, SEASON = range(4)  # channels of `Forcing.channels`; the season's two stand last


@dataclass(frozen=True)
class Forcing:
    """Outdoor conditions by hour.

    The spin-up, ends and marks fall on whole days, and the season stands still within a day.

    Attributes
    ----------
    outdoor_c, humidity_ratio, wind_m_s : Array, shape (hour, winter)
        Hourly means: air temperature [degC], humidity ratio [kg/kg], wind [m/s].
    season_cos, season_sin : Array, shape (hour, winter)
        Of the angle of the year since the coldest time outdoors [1].
    pressure_pa : float
        Air pressure.
    spin_up_h : int
        Hours before the winter itself begins.
    end_h : Array of int, shape (winter,)
        Row at which each winter ends.
    marks : Array of int, shape (mark, winter)
        Rows at which the energy so far is noted (month ends).
    """

    outdoor_c: Array
    humidity_ratio: Array
    wind_m_s: Array
    season_cos: Array
    season_sin: Array
    pressure_pa: float
    spin_up_h: int
    end_h: Array
    marks: Array

    @cached_property
    def mark_rows(self) -> frozenset[int]:
        """Every row at which some winter has a mark."""
        return frozenset(self.marks.ravel().tolist())

    @cached_property
    def end_rows(self) -> frozenset[int]:
        """Every row at which some winter ends."""
        return frozenset(self.end_h.tolist())

    def channels(self) -> Array:
        """All five series as one array of shape (hour, channel, winter)."""
        return np.stack([self.outdoor_c, self.humidity_ratio, self.wind_m_s, self.season_cos, self.season_sin], axis=1)
