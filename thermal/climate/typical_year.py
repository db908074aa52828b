"""A typical year with sun and infrared, in the form that the solver takes for a layered room."""

from __future__ import annotations

import numpy as np
import pandas as pd

from thermal.climate.forcing import SKY_LOSS, Forcing
from thermal.climate.incident_sun import HorizontalSun, Site, incident_sun, split_sun, sun_angles
from thermal.core.arrays import Array
from thermal.physics.moist_air import pressure_at
from thermal.physics.sky_temperature import infrared_from_sky

SPIN_UP_DAYS = 28  # of the year's end, ahead of it


def typical_year(
    hours: pd.DataFrame,
    latitude: float,
    longitude: float,
    elevation_m: float = 0.0,
    spin_up_days: int = SPIN_UP_DAYS,
) -> Forcing:
    """Weather from 1 January on, local standard time, for `simulate_layered_rooms`.

    Parameters
    ----------
    hours : DataFrame
        A row for each hour, whole days, a year as a rule. `air_c` [degC] and `infrared_w_m2` (longwave from the sky
        [W/m2]) at the end of the hour; `ghi_w_m2`, the hour's mean sun on the horizontal [W/m2], and where the source
        has both `dni_w_m2` (direct, square to the sun) and `dhi_w_m2` (diffuse).
    latitude, longitude : float
        Degrees north and east. Standard time is that of the nearest whole hour by longitude.
    elevation_m : float
        Height above sea level [m].
    spin_up_days : int
        Days of the end of `hours` that come first and are not counted.

    Returns
    -------
    Forcing
        With the columns that `network.layered_room` reads.
    """
    site = Site(latitude, longitude, elevation_m)
    middles = pd.date_range("2001-01-01 00:30", periods=len(hours), freq="h", tz="UTC")
    times = middles - pd.Timedelta(hours=round(longitude / 15.0))
    angles = sun_angles(times, site)
    air_c, infrared = (_hourly_mean(hours[name].to_numpy(dtype=float)) for name in ("air_c", "infrared_w_m2"))
    loss = infrared_from_sky(air_c, 1.0) - infrared
    columns = np.column_stack([incident_sun(times, angles, _sun(hours, times, angles)), loss])
    assert columns.shape[1] == SKY_LOSS + 1
    order = np.r_[len(hours) - 24 * spin_up_days : len(hours), 0 : len(hours)]
    zero = np.zeros((len(order), 1))
    return Forcing(
        outdoor_c=air_c[order, None],
        humidity_ratio=zero,
        wind_m_s=zero,
        season_cos=zero,
        season_sin=zero,
        pressure_pa=float(pressure_at(elevation_m)),
        spin_up_h=24 * spin_up_days,
        end_h=np.array([len(order)]),
        marks=np.zeros((0, 1), dtype=int),
        columns=columns[order, :, None],
    )


def _sun(hours: pd.DataFrame, times: pd.DatetimeIndex, angles: object) -> HorizontalSun:
    """Direct and diffuse sun of the table, or split off."""
    values: list[Array] = [
        hours[name].to_numpy(dtype=float) for name in ("ghi_w_m2", "dni_w_m2", "dhi_w_m2") if name in hours
    ]
    return HorizontalSun(*values) if len(values) == 3 else split_sun(times, angles, values[0])  # type: ignore[arg-type]


def _hourly_mean(at_end: Array) -> Array:
    """Mean of each hour from the values at its ends; the first hour begins as the last one ends."""
    return np.asarray(0.5 * (at_end + np.roll(at_end, 1)))
