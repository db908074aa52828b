"""The sun of a weather file as means of whole hours; what its stamps stand for is found out from the sun's height."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from thermal.climate.cell_numbers import as_numbers
from thermal.climate.incident_sun import Site
from thermal.core.arrays import Array
from thermal.errors import ClimateError

DARK_W_M2 = 20.0  # an instrument's error at night, which also reads below zero
SHIFTS_H = (
    0.0,
    -0.5,
    0.5,
    -1.0,
    1.0,
)  # from a stamp to the middle of its hour: -0.5 where it is the end, 0.5 the start
TWILIGHT_DEG = 5.0  # below the horizon at the middle of an hour in which the sun still shone for some minutes
NIGHT_DAYS = 3  # with sun at night, at most; a few are errors of single hours
STAMP_WORDS = {
    0.0: "in the middle of each hour", -0.5: "at the end of each hour", 0.5: "at the start of each hour",
    -1.0: "an hour late", 1.0: "an hour early",
}  # fmt: skip


@dataclass(frozen=True)
class HourlySun:
    """The sun as means of whole UTC hours.

    Attributes
    ----------
    hours : DataFrame
        Index starts of the hours, UTC; the columns of `Climate.sun` [W/m2].
    shift_h : float
        From the source's stamps to the middles of the hours that they stand for [h].
    """

    hours: pd.DataFrame
    shift_h: float

    @property
    def stamps(self) -> str:
        """What the source's stamps stand for, in words."""
        return f"the stamps of the sun stand {STAMP_WORDS[self.shift_h]}"


def check_not_negative(path: Path, table: pd.DataFrame, times: pd.DatetimeIndex) -> None:
    """Check that no sun of a file is far below zero.

    Parameters
    ----------
    path : Path
        The file, for the message.
    table : DataFrame
        Its columns.
    times : DatetimeIndex
        Its times.

    Raises
    ------
    ClimateError
        When one is, with its hour.
    """
    for name in ("sun_w_m2", "direct_w_m2", "diffuse_w_m2"):
        if name in table:
            values = as_numbers(table[name]).to_numpy()
            if (values < -DARK_W_M2).any():
                worst = int(np.nanargmin(values))
                raise ClimateError(
                    f"{path}, {times[worst]:%Y-%m-%d %H:%M}, {name}: {values[worst]:g} W/m² of sun is below zero;"
                    " correct it, or leave it empty"
                )


def hourly_sun(sun: pd.DataFrame, site: Site, name: str) -> HourlySun:
    """The sun as means of whole hours.

    Parameters
    ----------
    sun : DataFrame
        `Climate.sun`: the source's own stamps, UTC.
    site : Site
        Where it was measured.
    name : str
        Name of the weather file, for the message.

    Returns
    -------
    HourlySun
        With the shift under which it goes best with the sun's height, among those that leave no sun at night on more
        than three days.

    Raises
    ------
    ClimateError
        When every shift leaves more, with the first such hour.
    """
    values = sun["sun_w_m2"].to_numpy(dtype=float)
    fits = [_fit(values, sun.index, site, shift) for shift in SHIFTS_H]
    lit = values > DARK_W_M2
    good = [place for place, (_, night) in enumerate(fits) if _days(sun.index, night & lit) <= NIGHT_DAYS]
    if not good:
        night = min((night for _, night in fits), key=lambda flags: _days(sun.index, flags & lit)) & lit
        first = int(np.argmax(night))
        raise ClimateError(
            f"weather file {name}: {values[first]:.0f} W/m² of sun at {sun.index[first]:%Y-%m-%d %H:%M} UTC, at night,"
            f" and so on {_days(sun.index, night)} days; correct the times, their zone, or the latitude and longitude,"
            " or leave its sun out"
        )
    best = max(good, key=lambda place: fits[place][0])
    return HourlySun(_on_whole_hours(sun, SHIFTS_H[best]), SHIFTS_H[best])


def _fit(values: Array, stamps: pd.DatetimeIndex, site: Site, shift_h: float) -> tuple[float, Array]:
    """How well the sun goes with its height at the shifted stamps [-], and where it is night then."""
    height = sine_of_height(stamps + pd.Timedelta(hours=shift_h), site)
    known = np.isfinite(values)
    together = float(np.corrcoef(np.maximum(height[known], 0.0), values[known])[0, 1]) if known.sum() > 1 else 0.0
    return together, height < -np.sin(np.radians(TWILIGHT_DEG))


def _days(stamps: pd.DatetimeIndex, flags: Array) -> int:
    """Days with a flagged hour."""
    return int(stamps[flags].normalize().nunique())


def sine_of_height(times: pd.DatetimeIndex, site: Site) -> Array:
    """Sine of the sun's height above the horizon, within half a degree, for judging stamps. [-]

    Parameters
    ----------
    times : DatetimeIndex, shape (hour,)
        UTC.
    site : Site
        The place.

    Source: Spencer 1971, Search 2(5):172, for declination and equation of time, by pvlib.
    """
    from pvlib import solarposition

    day = times.day_of_year.to_numpy()
    declination = solarposition.declination_spencer71(day)
    equation_min = solarposition.equation_of_time_spencer71(day)
    clock_h = times.hour.to_numpy() + times.minute.to_numpy() / 60.0
    angle = np.radians(15.0 * (clock_h - 12.0) + site.longitude + equation_min / 4.0)
    latitude = np.radians(site.latitude)
    return np.asarray(np.sin(latitude) * np.sin(declination) + np.cos(latitude) * np.cos(declination) * np.cos(angle))


def _on_whole_hours(sun: pd.DataFrame, shift_h: float) -> pd.DataFrame:
    """Means of whole hours, each named by its start, from values at the middles of hours of any other kind."""
    middles = sun.clip(lower=0.0)
    middles.index = sun.index + pd.Timedelta(hours=shift_h)
    middles = middles[~middles.index.duplicated()].sort_index()
    wanted = pd.date_range(middles.index[0].floor("h"), middles.index[-1].floor("h"), freq="h") + pd.Timedelta("30min")
    both = middles.reindex(middles.index.union(wanted))
    whole = both.interpolate(method="time", limit=1, limit_area="inside").reindex(wanted)
    return whole.set_axis(wanted - pd.Timedelta("30min"))
