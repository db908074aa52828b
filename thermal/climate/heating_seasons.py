"""Winters of a weather file, side by side for the simulation.

The clock is local standard time all winter. Daylight saving time is ignored: lamps and tariffs may be an hour off in
October and April. Each hour has the mean of the values at its start and end, so that its heat loss is right.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from thermal.climate import gap_filling
from thermal.climate.dataset import YEAR_H, Climate, YearlyHarmonic, hour_of_year
from thermal.climate.forcing import CLEAR_SKY, NEITHER, SKY, Forcing, OutdoorColumns, SunAndSky, means
from thermal.climate.season_calendar import SPIN_UP_H, season_bounds, standard_offset
from thermal.core.arrays import Array
from thermal.errors import ClimateError
from thermal.physics import moist_air

SHORTEST_H = 14 * 24  # fewest hours of a winter that is simulated
FAR_H, FAR_ROW_H = 100 * 24, 10 * 24  # before a run of hours: a hundred days in means of ten
NEAR_H, NEAR_ROW_H = 20 * 24, 2 * 24  # then twenty in means of two
COLD_SPELL_H = 72  # the coldest run of so many hours sizes the heater


@dataclass(frozen=True)
class Winter:
    """One heating season, or the part of it that the weather file covers.

    Attributes
    ----------
    year : int
        Year in which it begins.
    label : str
        Its name: the year, or "typical".
    start : Timestamp
        First hour, local standard time without a zone.
    hours : int
        Hours covered.
    complete : bool
        Whether the whole season is covered.
    filled_hours : int
        Hours whose air temperature was filled in.
    """

    year: int
    label: str
    start: pd.Timestamp
    hours: int
    complete: bool
    filled_hours: int

    def times(self) -> pd.DatetimeIndex:
        """Local standard time at the start of each hour, shape (hour,)."""
        return pd.date_range(self.start, periods=self.hours, freq="h")


@dataclass(frozen=True)
class Weather:
    """Weather of the simulated winters, side by side: each column is a winter from its first hour on.

    The first `spin_up_h` rows warm up the model and are not counted. A shorter winter is padded with its last value,
    and its results are taken at its own end.

    Attributes
    ----------
    winters : tuple of Winter
        The winters, one for each column.
    spin_up_h : int
        Hours before the winters begin.
    outdoor_c : Array, shape (hour, winter)
        Hourly mean of the air temperature [degC].
    humidity_ratio : Array, shape (hour, winter)
        Hourly mean of the humidity ratio [kg/kg].
    wind_m_s : Array, shape (hour, winter)
        Hourly mean of the wind speed [m/s].
    season_cos, season_sin : Array, shape (hour, winter)
        Cosine and sine of the angle of the year, counted from the coldest time outdoors [-].
    harmonic : YearlyHarmonic
        Yearly wave of the air temperature.
    pressure_pa : float
        Air pressure at the site's elevation [Pa].
    refused : tuple of str
        One sentence on each winter that cannot be simulated.
    joined_year : int or None
        Calendar year whose halves make the only winter; None where no winter is put together.
    columns : Array, shape (hour, column, winter), optional
        Sun and sky, as in `Forcing.columns`, the usual and the clear sky both in every hour; None without them.
    clear_days : Array of bool, shape (hour, winter), optional
        Hours of the coldest three days, which have the clear sky instead of the usual one; none where the sky is
        known.
    sun_and_sky : SunAndSky
        Where the columns come from.
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
    joined_year: int | None = None
    columns: Array | None = None
    clear_days: Array | None = None
    sun_and_sky: SunAndSky = NEITHER

    def row_range(self, winter: int) -> slice:
        """Rows of a winter, given by its index, without spin-up and padding."""
        return slice(self.spin_up_h, self.spin_up_h + self.winters[winter].hours)

    def months(self, winter: int) -> list[str]:
        """Months of a winter, given by its index, such as "2016-10"."""
        return list(dict.fromkeys(month_of_hours(self.winters[winter].times())))

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
            columns=self.counted_columns,
        )

    @property
    def counted_columns(self) -> Array | None:
        """The columns with the clear sky in the coldest three days and the usual one in all other hours."""
        if self.columns is None or self.clear_days is None:
            return None
        return _under_one_sky(self.columns.copy(), self.clear_days)


def _under_one_sky(columns: Array, clear: Array) -> Array:
    """Columns, (hour, column, winter), with the clear sky in hours that `clear` marks, and the usual one in others."""
    columns[:, SKY][clear] = 0.0
    columns[:, CLEAR_SKY][~clear] = 0.0
    return columns


def month_of_hours(times: pd.DatetimeIndex) -> list[str]:
    """Month of each hour, such as "2016-10"."""
    names, index = np.unique(times.to_numpy().astype("datetime64[M]"), return_inverse=True)
    text = [str(name) for name in names]
    return [text[place] for place in index]


def _month_ends(winter: Winter) -> list[int]:
    """Hours from the start of a winter to the end of each of its months."""
    months = winter.times().month
    return [*np.flatnonzero(np.diff(months)) + 1, winter.hours]


def excerpt(weather: Weather, winter: Array, first: Array, hours: int) -> Forcing:
    """Runs of hours cut from the weather, each as a winter of its own without spin-up.

    Parameters
    ----------
    weather : Weather
        The winters.
    winter : Array of int, shape (run,)
        Index of the winter that each run is from.
    first : Array of int, shape (run,)
        First row of each run. Beyond the end of a winter its last hour is repeated; before its first row its spin-up
        is, again and again.
    hours : int
        Length of every run [h].

    Returns
    -------
    Forcing
        One column for each run, without marks.
    """
    ends = weather.spin_up_h + np.array([weather.winters[item].hours for item in winter])
    rows = np.minimum(first + np.arange(hours)[:, None], ends - 1)
    rows = np.where(rows < 0, rows % weather.spin_up_h, rows)
    season = rows[np.arange(hours) // 24 * 24]  # constant within each day of the run
    columns = None
    if weather.columns is not None and weather.clear_days is not None:
        taken = np.ascontiguousarray(np.moveaxis(weather.columns[rows, :, winter], 2, 1))
        columns = _under_one_sky(taken, weather.clear_days[rows, winter])
    return Forcing(
        **{name: getattr(weather, name)[rows, winter] for name in ("outdoor_c", "humidity_ratio", "wind_m_s")},
        **{name: getattr(weather, name)[season, winter] for name in ("season_cos", "season_sin")},
        pressure_pa=weather.pressure_pa,
        spin_up_h=0,
        end_h=np.full(len(first), hours),
        marks=np.zeros((0, len(first)), dtype=int),
        columns=columns,
    )


def excerpt_with_time_before(weather: Weather, winter: Array, first: Array, hours: int) -> Forcing:
    """Runs of hours cut from the weather, each with the four months before it, from which its start is worked out.

    Steps of some days through those months bring a state so near the true one that 15 days from there are enough for
    heated water. In seven ready plans with every remedy the heater needed is then within 1.4 W of that after 90 days.
    Where pieces of winters begin so, `winter_pieces` checks whether they join.

    Parameters
    ----------
    weather, winter, first, hours
        As of `excerpt`. Before the first row of a winter, or of weeks with a rare cold spell, the spin-up is taken
        again and again.

    Returns
    -------
    Forcing
        One column for each run, without marks.
    """
    before = excerpt(weather, winter, first - FAR_H - NEAR_H, FAR_H + NEAR_H)
    far, near = means(before, slice(FAR_H), FAR_ROW_H), means(before, slice(FAR_H, None), NEAR_ROW_H)
    return replace(excerpt(weather, winter, first, hours), before=(far, near))


def winters_of(climate: Climate, years: tuple[int, ...] = (), outdoors: OutdoorColumns | None = None) -> Weather:
    """The winters of a weather file, ready to simulate.

    Parameters
    ----------
    climate : Climate
        The weather file.
    years : tuple of int
        Years in which the chosen winters begin; empty for all winters.
    outdoors : OutdoorColumns, optional
        Sun and sky of its hours; without them the simulation has neither.

    Returns
    -------
    Weather
        The winters that can be simulated, side by side.

    Raises
    ------
    ClimateError
        When no winter can be simulated, with the reason for each, or the time zone is not an IANA time zone.
    """
    first, last = climate.hours.index[0], climate.hours.index[-1]
    candidates = years or tuple(range(first.year - 1, last.year + 1))
    table = climate.hours if outdoors is None else pd.concat([climate.hours, outdoors.hours], axis=1)
    cut, refused = [], []
    for year in candidates:
        part = _cut(climate, table, year)
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
    return _side_by_side(climate, cut, tuple(refused), outdoors)


def _cut(climate: Climate, table: pd.DataFrame, year: int) -> tuple[Winter, pd.DataFrame] | str | None:
    """One winter of a table with its spin-up; None where it has less than two weeks of it; or why it cannot be used."""
    local = pd.DatetimeIndex(table.index).tz_localize(None) + standard_offset(climate.header.timezone, year)

    def between(first: pd.Timestamp, last: pd.Timestamp) -> pd.DataFrame:
        rows = slice(local.searchsorted(first), local.searchsorted(last, side="right"))
        return table.iloc[rows].set_axis(local[rows])

    due_start, due_end = (pd.Timestamp(season_bound) for season_bound in season_bounds(year, climate.south))
    start = max(due_start, local[0].ceil("D"))
    end = min(due_end, local[-1].floor("D"))
    hours = int((end - start) / pd.Timedelta("1h"))
    if hours < SHORTEST_H:
        return None
    inside = between(start, end)  # includes the hour at its end
    if inside["air_c"].isna().any():
        long = "; ".join(
            f"{gap.first:%Y-%m-%d %H:%M} to {gap.last:%Y-%m-%d %H:%M}" for gap in gap_filling.gaps_of(inside["air_c"])
        )
        return f"winter {year} is left out: no data for more than 3 days ({long})"
    before = between(start - pd.Timedelta(hours=SPIN_UP_H), start - pd.Timedelta("1h"))
    if len(before) < SPIN_UP_H or before["air_c"].isna().any():
        before = inside.iloc[:SPIN_UP_H]  # the first two weeks of the winter serve as its spin-up
    complete = start == due_start and end == due_end
    label = "typical" if climate.header.kind == "typical year" else str(year)
    winter = Winter(year, label, start, hours, complete, int(inside["filled"].sum()))
    return winter, pd.concat([before, inside])


def _side_by_side(
    climate: Climate,
    cut: list[tuple[Winter, pd.DataFrame]],
    refused: tuple[str, ...],
    outdoors: OutdoorColumns | None,
) -> Weather:
    """All winters padded to one length, with hourly means."""
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
    season = np.repeat(np.stack(angles, axis=1), 24, axis=0)[
        :length
    ]  # one value for each day: the ground does not follow hours
    weather = Weather(
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
        joined_year=climate.joined_year,
        sun_and_sky=NEITHER if outdoors is None else outdoors.basis,
    )
    return weather if outdoors is None else _with_columns(weather, [part for _, part in cut], outdoors)


def _with_columns(weather: Weather, parts: list[pd.DataFrame], outdoors: OutdoorColumns) -> Weather:
    """The weather with sun and sky, whose values are hourly means already."""
    names = list(outdoors.hours.columns)
    if not names:
        return weather
    length = len(weather.outdoor_c)
    padded = [part[names].to_numpy(dtype=np.float32)[np.minimum(np.arange(length), len(part) - 1)] for part in parts]
    clear = coldest_days(weather.outdoor_c, weather.row_range) & (outdoors.basis.sky == "assumed")
    return replace(weather, columns=np.stack(padded, axis=-1), clear_days=clear)


def coldest_days(outdoor_c: Array, row_range: Callable[[int], slice]) -> Array:
    """Hours of the coldest three days of each winter, shape (hour, winter).

    Parameters
    ----------
    outdoor_c : Array, shape (hour, winter)
        Air temperature [degC].
    row_range : callable
        The rows of a winter itself, without spin-up and padding.
    """
    flags = np.zeros(outdoor_c.shape, dtype=bool)
    for winter in range(outdoor_c.shape[1]):
        rows = row_range(winter)
        sums = np.cumsum(np.append(0.0, outdoor_c[rows, winter]))
        first = rows.start + int(np.argmin(sums[COLD_SPELL_H:] - sums[:-COLD_SPELL_H]))
        flags[first : first + COLD_SPELL_H, winter] = True
    return flags
