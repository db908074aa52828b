"""Hourly conditions outdoors in the form that the solver takes."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import Any

import numpy as np
import pandas as pd

from thermal.core.arrays import Array
from thermal.core.facings import FACINGS

OUTDOOR, HUMIDITY, WIND, SEASON = range(4)  # indices in `Forcing.channels`; the season has two, the last ones

# Columns of `Forcing.columns` made from a weather file: the sun on each of `FACINGS` [W/m2]; the same over the outside
# film [K]; what a black surface that sees only sky loses to it, over the film [K], and the same in the days under the
# clear sky that sizes the heater.
SUN, WARMED, SKY, CLEAR_SKY, COLUMNS = 0, len(FACINGS), 2 * len(FACINGS), 2 * len(FACINGS) + 1, 2 * len(FACINGS) + 2
OTHER_HEAT = COLUMNS  # a column after these, where a sun collector is tried: its heat [W]
SKY_LOSS = len(FACINGS)  # in the forcing of a layered room, after the suns: what such a surface loses [W/m2]


def sun_column(facing: str) -> int:
    """Number of the column with the sun on a side that faces there."""
    return SUN + FACINGS.index(facing)


def warmed_column(facing: str) -> int:
    """Number of the column with the same over the outside film."""
    return WARMED + FACINGS.index(facing)


@dataclass(frozen=True)
class SunAndSky:
    """What of sun and sky a simulation counts, and where it comes from.

    Attributes
    ----------
    sun : str
        "measured" (the weather file's own), "cloud" (from cloud cover), or empty where no sun is counted.
    sky : str
        "infrared", "dew point and cloud", "dew point and sun" (cloud from the sun of the day), "assumed" (a fixed
        difference to the air), or empty where no sky is counted.
    film_w_per_m2k : float
        Mean of the outside film over the hours [W/m2K].
    note : str
        What was found out about the sun's stamps, or why the file's sun is not counted; empty where there is nothing
        to say.
    """

    sun: str = ""
    sky: str = ""
    film_w_per_m2k: float = 25.0
    note: str = ""


NEITHER = SunAndSky()


@dataclass(frozen=True)
class OutdoorColumns:
    """The columns of `Forcing.columns` in every hour of a weather file.

    Attributes
    ----------
    hours : DataFrame
        Index starts of the hours, UTC; columns 0 to `COLUMNS` - 1.
    basis : SunAndSky
        What they come from.
    """

    hours: pd.DataFrame
    basis: SunAndSky


@dataclass(frozen=True)
class Forcing:
    """Hourly conditions outdoors.

    Spin-up, ends and marks are multiples of 24 hours. The season angle is constant within a day.

    Attributes
    ----------
    outdoor_c : Array, shape (hour, winter)
        Hourly mean of the air temperature [degC].
    humidity_ratio : Array, shape (hour, winter)
        Hourly mean of the humidity ratio [kg/kg].
    wind_m_s : Array, shape (hour, winter)
        Hourly mean of the wind speed [m/s].
    season_cos, season_sin : Array, shape (hour, winter)
        Cosine and sine of the angle of the year, counted from the coldest time outdoors [-].
    pressure_pa : float
        Air pressure [Pa].
    spin_up_h : int
        Hours before the winter itself begins.
    end_h : Array of int, shape (winter,)
        Row at which each winter ends.
    marks : Array of int, shape (mark, winter)
        Rows at which the energy so far is recorded, at the ends of months.
    columns : Array, shape (hour, column, winter), optional
        Further hourly means that bring heat in proportion, such as the sun on a wall; `Network.gains` says where and
        how much. None where sun and sky bring nothing.
    row_h : int
        Hours of a row; more than one only in `before`.
    before : tuple of Forcing
        Means of the time before, the oldest first, from which the state to start from is worked out. Empty for the mean
        of the spin-up.
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
    columns: Array | None = None
    row_h: int = 1
    before: tuple[Forcing, ...] = ()

    @cached_property
    def mark_rows(self) -> frozenset[int]:
        """Rows at which any winter has a mark."""
        return frozenset(self.marks.ravel().tolist())

    @cached_property
    def end_rows(self) -> frozenset[int]:
        """Rows at which any winter ends."""
        return frozenset(self.end_h.tolist())

    def channels(self) -> Array:
        """All five quantities but the columns as one array of shape (hour, channel, winter)."""
        return np.stack([self.outdoor_c, self.humidity_ratio, self.wind_m_s, self.season_cos, self.season_sin], axis=1)

    def chosen_columns(self, chosen: list[int]) -> Array:
        """Some of the columns by their numbers, shape (hour, chosen, winter); zero where there are none.

        Parameters
        ----------
        chosen : list of int
            Numbers of the columns.
        """
        if self.columns is None:
            return np.zeros((len(self.outdoor_c), len(chosen), self.outdoor_c.shape[-1]))
        return self.columns[:, chosen]


def means(forcing: Forcing, rows: slice, row_h: int) -> Forcing:
    """Means of some hours, one row after the other.

    Parameters
    ----------
    forcing : Forcing
        Hour by hour.
    rows : slice
        The hours, a multiple of `row_h` of them.
    row_h : int
        Hours of a row of the result.

    Returns
    -------
    Forcing
        Without marks. The wind is the root of the mean of its squares, with which air leaks in.
    """

    def mean(hourly: Array) -> Array:
        chosen = hourly[rows]
        return np.asarray(chosen.reshape(-1, row_h, *chosen.shape[1:]).mean(axis=1))

    outdoor_c = mean(forcing.outdoor_c)
    return Forcing(
        outdoor_c=outdoor_c,
        humidity_ratio=mean(forcing.humidity_ratio),
        wind_m_s=np.sqrt(mean(np.square(forcing.wind_m_s))),
        season_cos=mean(forcing.season_cos),
        season_sin=mean(forcing.season_sin),
        pressure_pa=forcing.pressure_pa,
        spin_up_h=0,
        end_h=np.full_like(forcing.end_h, len(outdoor_c)),
        marks=forcing.marks[:0],
        columns=None if forcing.columns is None else mean(forcing.columns),
        row_h=row_h,
    )


def join_forcings(forcings: list[Forcing]) -> Forcing:
    """Winters of several forcings side by side.

    Parameters
    ----------
    forcings : list of Forcing
        At least one; of the same length, spin-up, number of marks, and rows before.
    """
    arrays = [field.name for field in fields(Forcing) if isinstance(getattr(forcings[0], field.name), np.ndarray)]
    joined: dict[str, Any] = {
        name: np.concatenate([getattr(forcing, name) for forcing in forcings], axis=-1) for name in arrays
    }
    before = tuple(join_forcings(list(parts)) for parts in zip(*(forcing.before for forcing in forcings), strict=True))
    return replace(forcings[0], **joined, before=before)


def lengthen(forcing: Forcing, hours: int, marks: int) -> Forcing:
    """A forcing of more rows, its last hour repeated, and of more marks.

    Parameters
    ----------
    forcing : Forcing
        The forcing.
    hours, marks : int
        Number of rows and of marks, at least its own.
    """
    rows = np.minimum(np.arange(hours), len(forcing.outdoor_c) - 1)
    hourly = ("outdoor_c", "humidity_ratio", "wind_m_s", "season_cos", "season_sin")
    arrays: dict[str, Any] = {name: getattr(forcing, name)[rows] for name in hourly}
    none = np.full((marks - len(forcing.marks), forcing.marks.shape[1]), -1)
    columns = None if forcing.columns is None else forcing.columns[rows]
    return replace(forcing, **arrays, marks=np.vstack([forcing.marks, none]), columns=columns)
