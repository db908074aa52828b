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


def typical_year_forcing(hours: pd.DataFrame, site: Site, spin_up_days: int = SPIN_UP_DAYS) -> Forcing:
    """The forcing of a whole year that begins on 1 January, local standard time.

    Parameters
    ----------
    hours : DataFrame
        A row for each hour of the year, whole days. `air_c` [degC] and `infrared_w_m2` (longwave from the sky,
        [W/m2]); `ghi_w_m2` (sun on the horizontal, hourly means [W/m2]), and where there are both `dni_w_m2` (direct,
        square to the sun) and `dhi_w_m2` (diffuse). Values hold for the hour that ends at their stamp.
    site : Site
        Where the weather was measured; its standard time is that of the nearest hour by longitude.
    spin_up_days : int
        Days of the year's end that come first and are not counted.

    Returns
    -------
    Forcing
        With the columns that `network.layered_room` reads.
    """
    middles = pd.date_range("2001-01-01 00:30", periods=len(hours), freq="h", tz="UTC")
    times = middles - pd.Timedelta(hours=round(site.longitude / 15.0))
    angles = sun_angles(times, site)
    air_c = hours["air_c"].to_numpy(dtype=float)
    loss = infrared_from_sky(air_c, 1.0) - hours["infrared_w_m2"].to_numpy(dtype=float)
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
        pressure_pa=float(pressure_at(site.elevation_m)),
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
