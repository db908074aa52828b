"""Winters cut from a weather file and laid side by side for the simulation.

The clock is local standard time all winter, summer time ignored: lamps and tariffs may shift by an hour
in October and April. Each hour carries the mean of its two end values, so that a whole hour's heat is right.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from thermal.climate import gap_filling
from thermal.climate.dataset import YEAR_H, Climate, YearlyHarmonic, hour_of_year
from thermal.climate.forcing import Forcing
from thermal.climate.season_calendar import SPIN_UP_H, season_bounds, standard_offset
from thermal.core.arrays import Array
from thermal.errors import ClimateError
from thermal.physics import moist_air

SHORTEST_H = 14 * 24  # less than this of a winter is not run at all


@dataclass(frozen=True)
class Winter:
    """One heating season, or the part of it that the weather file covers."""

    year: int
    label: str
    start: pd.Timestamp  # local standard time, naive
    hours: int
    complete: bool
    filled_hours: int

    def times(self) -> pd.DatetimeIndex:
        """Local standard time at the start of each hour."""
        return pd.date_range(self.start, periods=self.hours, freq="h")


@dataclass(frozen=True)
class Weather:
    """Weather of the simulated winters: arrays of shape (hour, winter), each winter from its own first hour.

    The first `spin_up_h` rows warm the model up and are not counted; a winter shorter than the longest is
    padded with its last value and its results are taken at its own end.
    """

    winters: tuple[Winter, ...]
    spin_up_h: int
    outdoor_c: Array
    humidity_ratio: Array
    wind_m_s: Array
    season_cos: Array
    season_sin: Array
    harmonic: YearlyHarmonic
    pressure_pa: float
    refused: tuple[str, ...] = ()

    def months(self, winter: int) -> list[str]:
        """The months a winter touches, such as "2016-10"."""
        return list(dict.fromkeys(self.winters[winter].times().strftime("%Y-%m")))

    @property
    def forcing(self) -> Forcing:
        """The forcing of a simulation, with the end of every month marked."""
        ends = [_month_ends(winter) for winter in self.winters]
        marks = np.full((max(map(len, ends)), len(ends)), -1)
        for place, rows in enumerate(ends):
            marks[: len(rows), place] = self.spin_up_h + np.array(rows)
        return Forcing(
            outdoor_c=self.outdoor_c,
            humidity_ratio=self.humidity_ratio,
            wind_m_s=self.wind_m_s,
            season_cos=self.season_cos,
            season_sin=self.season_sin,
            pressure_pa=self.pressure_pa,
            spin_up_h=self.spin_up_h,
            end_h=np.array([self.spin_up_h + winter.hours for winter in self.winters]),
            marks=marks,
        )


def _month_ends(winter: Winter) -> list[int]:
    """Hours from the winter's start to the end of each of its months."""
    months = winter.times().month
    return [*np.flatnonzero(np.diff(months)) + 1, winter.hours]


def excerpt(weather: Weather, winter: Array, first: Array, hours: int) -> Forcing:
    """Runs of hours cut from the weather, each as if it were a winter of its own without spin-up.

    Parameters
    ----------
    winter, first : Array of int, shape (run,)
        Which winter each run is from, and its first row. Beyond a winter's end its last hour stands in.
    """
    ends = weather.spin_up_h + np.array([weather.winters[item].hours for item in winter])
    rows = np.minimum(first + np.arange(hours)[:, None], ends - 1)
    season = rows[np.arange(hours) // 24 * 24]  # it stands still within each day of the run
    return Forcing(
        **{name: getattr(weather, name)[rows, winter] for name in ("outdoor_c", "humidity_ratio", "wind_m_s")},
        **{name: getattr(weather, name)[season, winter] for name in ("season_cos", "season_sin")},
        pressure_pa=weather.pressure_pa,
        spin_up_h=0,
        end_h=np.full(len(first), hours),
        marks=np.zeros((0, len(first)), dtype=int),
    )


def until(forcing: Forcing, row: int) -> Forcing:
    """Forcing that ends at a row, a whole day, at the latest; its marks left out."""
    return replace(forcing, end_h=np.minimum(forcing.end_h, row), marks=np.zeros((0, len(forcing.end_h)), dtype=int))


def winters_of(climate: Climate, years: tuple[int, ...] = ()) -> Weather:
    """The winters of a weather file, or the chosen ones, ready to simulate.

    Raises
    ------
    ClimateError
        When no winter can be simulated; the message says why for each.
    """
    first, last = climate.hours.index[0], climate.hours.index[-1]
    candidates = years or tuple(range(first.year - 1, last.year + 1))
    cut, refused = [], []
    for year in candidates:
        part = _cut(climate, year)
        if isinstance(part, str):
            refused.append(part)
        elif part is not None:
            cut.append(part)
        elif years:
            refused.append(f"winter {year} is left out: the weather file covers {first:%Y-%m-%d} to {last:%Y-%m-%d}")
    if not cut:
        reasons = (
            "; ".join(refused)
            or f"it covers {first:%Y-%m-%d} to {last:%Y-%m-%d}, which is less than two weeks of a winter"
        )
        raise ClimateError(f"no winter of the weather file {climate.header.name} can be simulated: {reasons}")
    return _side_by_side(climate, cut, tuple(refused))


def _cut(climate: Climate, year: int) -> tuple[Winter, pd.DataFrame] | str | None:
    """One winter with its spin-up, None when the series has next to nothing of it, or why it is refused."""
    offset = standard_offset(climate.header.timezone, year)
    local = climate.hours.set_axis(climate.hours.index.tz_localize(None) + offset)
    due_start, due_end = (pd.Timestamp(season_bound) for season_bound in season_bounds(year, climate.south))
    start = max(due_start, local.index[0].ceil("D"))
    end = min(due_end, local.index[-1].floor("D"))
    hours = int((end - start) / pd.Timedelta("1h"))
    if hours < SHORTEST_H:
        return None
    inside = local.loc[start:end]  # the hour that ends it included
    if inside["air_c"].isna().any():
        long = "; ".join(
            f"{gap.first:%Y-%m-%d %H:%M} to {gap.last:%Y-%m-%d %H:%M}" for gap in gap_filling.gaps_of(inside["air_c"])
        )
        return f"winter {year} is left out: no data for more than 3 days ({long})"
    before = local.loc[start - pd.Timedelta(hours=SPIN_UP_H) : start - pd.Timedelta("1h")]
    if len(before) < SPIN_UP_H or before["air_c"].isna().any():
        before = inside.iloc[:SPIN_UP_H]  # two weeks of the winter itself stand in
    complete = start == due_start and end == due_end
    label = "typical" if climate.header.kind == "typical year" else str(year)
    winter = Winter(year, label, start, hours, complete, int(inside["filled"].sum()))
    return winter, pd.concat([before, inside])


def _side_by_side(climate: Climate, cut: list[tuple[Winter, pd.DataFrame]], refused: tuple[str, ...]) -> Weather:
    """Pad all winters to one length and take hourly means."""
    length = max(winter.hours for winter, _ in cut) + SPIN_UP_H
    pressure = float(moist_air.pressure_at(climate.header.elevation_m))

    def stack(columns: list[np.ndarray]) -> Array:
        ends = [np.append(column, np.repeat(column[-1], max(0, length + 1 - len(column)))) for column in columns]
        points: Array = np.stack([column[: length + 1] for column in ends], axis=1)
        return 0.5 * (points[:-1] + points[1:])

    outdoor = [part["air_c"].to_numpy(dtype=float) for _, part in cut]
    ratio = [
        moist_air.humidity_ratio(
            part["rh_pct"].to_numpy(dtype=float)
            / 100
            * moist_air.water_saturation_pressure(part["air_c"].to_numpy(dtype=float)),
            pressure,
        )
        for _, part in cut
    ]
    harmonic = climate.harmonic()
    angles = []
    for winter, _ in cut:
        days = pd.date_range(winter.start - pd.Timedelta(hours=SPIN_UP_H - 12), periods=-(-length // 24), freq="D")
        angles.append(2 * np.pi * (hour_of_year(days) - harmonic.coldest_h) / YEAR_H)
    season = np.repeat(np.stack(angles, axis=1), 24, axis=0)[:length]  # the ground knows no hours
    return Weather(
        winters=tuple(winter for winter, _ in cut),
        spin_up_h=SPIN_UP_H,
        outdoor_c=stack(outdoor),
        humidity_ratio=stack(ratio),
        wind_m_s=stack([part["wind_m_s"].to_numpy(dtype=float) for _, part in cut]),
        season_cos=np.cos(season),
        season_sin=np.sin(season),
        harmonic=harmonic,
        pressure_pa=pressure,
        refused=refused,
    )
