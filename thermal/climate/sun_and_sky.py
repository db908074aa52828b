"""Sun and sky of a weather file as columns of the forcing: on walls of every direction and on the roof."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import pandas as pd

from thermal.climate.dataset import Climate, Header, climate_from
from thermal.climate.forcing import CLEAR_SKY, COLUMNS, SKY, SUN, WARMED, OutdoorColumns, SunAndSky
from thermal.climate.incident_sun import (
    HorizontalSun,
    Site,
    SunAngles,
    clear_sky_sun,
    incident_sun,
    split_sun,
    sun_angles,
    sun_on_plane,
)
from thermal.climate.sun_hours import HourlySun, hourly_sun
from thermal.core.arrays import Array
from thermal.core.facings import AZIMUTH_DEG, FACINGS
from thermal.errors import ClimateError
from thermal.physics import cloud_cover, moist_air, outside_film, sky_temperature

HALF_HOUR = pd.Timedelta("30min")
USUAL_CLOUD = 0.5  # share of the sky, on days without a sun to tell it


def outdoor_columns(climate: Climate, sun: bool = True, sky: bool = True) -> OutdoorColumns | None:
    """Sun and sky of a weather file, hour by hour.

    Parameters
    ----------
    climate : Climate
        The weather file, shifted to the site.
    sun, sky : bool
        Whether each is wanted.

    Returns
    -------
    OutdoorColumns or None
        None where nothing is counted.

    Raises
    ------
    ClimateError
        When the file has sun at night.
    """
    hours = climate.hours
    air_c, wind_m_s = _hourly_mean(hours["air_c"]), _hourly_mean(hours["wind_m_s"])
    film = outside_film.outside_film(outside_film.wind_at_wall(wind_m_s), air_c)
    columns = np.zeros((len(hours), COLUMNS))
    origin, note, incident = _incident(climate) if sun else ("", "", _incident_for_cloud(climate))
    if sun and incident is not None:
        columns[:, SUN:WARMED] = incident
        columns[:, WARMED:SKY] = incident / film[:, None]
    sky_origin = ""
    if sky:
        sky_origin, infrared = _sky_longwave(climate, air_c, incident)
        below_k = sky_temperature.SKY_BELOW_AIR_K, sky_temperature.CLEAR_SKY_BELOW_AIR_K
        usual, clear = (sky_temperature.sky_loss(air_c, air_c - below) for below in below_k)
        lost = usual if infrared is None else sky_temperature.infrared_from_sky(air_c, 1.0) - infrared
        columns[:, SKY] = lost / film
        columns[:, CLEAR_SKY] = clear / film if infrared is None else columns[:, SKY]
    if not origin and not sky_origin:
        return OutdoorColumns(pd.DataFrame(index=hours.index), SunAndSky(note=note)) if note else None
    basis = SunAndSky(origin, sky_origin, float(np.nanmean(film)), note)
    return OutdoorColumns(pd.DataFrame(columns, index=hours.index), basis)


def sun_notes(hours: pd.DataFrame, header: Header) -> tuple[str, ...]:
    """What is to be said of the sun of a file before it is added.

    Parameters
    ----------
    hours : DataFrame
        Its hours, as `dataset.climate_from` takes them.
    header : Header
        Where they come from.

    Raises
    ------
    ClimateError
        When it has sun at night.
    """
    if not {"sun_w_m2", "cloud_okta"} & set(hours.columns):
        return ()
    if not header.has_position:
        return ("its sun is not used until it has a position: add --lat and --lon",)
    note = _incident(climate_from(hours, header))[1]
    return (note,) if note else ()


def _hourly_mean(column: pd.Series) -> Array:
    """Mean of each hour from the values at its start and end; the last one's own value at the end of the file."""
    values = column.to_numpy(dtype=float)
    return np.asarray(0.5 * (values + np.append(values[1:], values[-1:])))


def _incident_for_cloud(climate: Climate) -> Array | None:
    """The sun on every side where it only tells the cloud; None where the file has none that can be used."""
    try:
        return _incident(climate)[2]
    except ClimateError:
        return None


class LitHours(NamedTuple):
    """The sun on the ground in the hours that have any."""

    rows: Array  # of the weather file, (hour,), bool
    times: pd.DatetimeIndex  # their middles
    angles: SunAngles
    sun: HorizontalSun


def _incident(climate: Climate) -> tuple[str, str, Array | None]:
    """Where the sun comes from, what is to be said of it, and the sun on every side, shape (hour, facing)."""
    origin, note, lit = _sun_of(climate)
    if lit is None:
        return origin, note, None
    incident = np.zeros((len(lit.rows), len(FACINGS)))
    incident[lit.rows] = incident_sun(lit.times, lit.angles, lit.sun)
    return origin, note, incident


def sun_on_tilted_plane(climate: Climate, tilt_deg: float, facing: str) -> Array | None:
    """Sun on a tilted plane in each hour of a weather file, shape (hour,); None where the file has no sun. [W/m2]

    Parameters
    ----------
    climate : Climate
        The weather file, shifted to the site.
    tilt_deg : float
        Angle between plane and horizontal [degree].
    facing : str
        Direction that it faces, of `core.facings`; empty for the one of the noon sun.

    Raises
    ------
    ClimateError
        When the file has sun at night.
    """
    lit = _sun_of(climate)[2]
    if lit is None:
        return None
    azimuth = AZIMUTH_DEG[facing or ("north" if climate.south else "south")]
    plane = np.zeros(len(lit.rows))
    plane[lit.rows] = sun_on_plane(lit.times, lit.angles, lit.sun, tilt_deg, azimuth)
    return plane


def _sun_of(climate: Climate) -> tuple[str, str, LitHours | None]:
    """Where the sun comes from, what is to be said of it, and the sun on the ground; None where there is none."""
    has_cloud = "cloud_okta" in climate.hours
    if climate.sun is None and not has_cloud:
        return "", "", None
    if not climate.header.has_position:
        why = "the weather file does not say where it was measured (latitude and longitude), so its sun is left out"
        return "", why, None
    site, times = _site(climate), climate.hours.index + HALF_HOUR
    if climate.sun is None:
        angles = sun_angles(times, site)
        through = cloud_cover.sun_through_cloud(_hourly_mean(climate.hours["cloud_okta"]))
        sun = split_sun(times, angles, clear_sky_sun(angles) * through)
        return "cloud", "", LitHours(np.ones(len(times), dtype=bool), times, angles, sun)
    measured = hourly_sun(climate.sun, site, climate.header.name)
    table = measured.hours.reindex(climate.hours.index).fillna(0.0)
    lit = table["sun_w_m2"].to_numpy() > 0.0
    angles = sun_angles(times[lit], site)
    sun = _on_the_ground(times[lit], angles, table[lit])
    return "measured", _stamp_note(measured), LitHours(lit, times[lit], angles, sun)


def _on_the_ground(times: pd.DatetimeIndex, angles: SunAngles, table: pd.DataFrame) -> HorizontalSun:
    """The sun of the file; direct and diffuse are split off where the file has not both."""
    if "direct_w_m2" in table:
        return HorizontalSun(*(table[name].to_numpy() for name in ("sun_w_m2", "direct_w_m2", "diffuse_w_m2")))
    return split_sun(times, angles, table["sun_w_m2"].to_numpy())


def _stamp_note(hours: HourlySun) -> str:
    """What the stamps stand for, where they are not in the middle of each hour."""
    return hours.stamps if hours.shift_h else ""


def _site(climate: Climate) -> Site:
    """Where the weather was measured."""
    header = climate.header
    return Site(header.latitude, header.longitude, header.elevation_m)


def _sky_longwave(climate: Climate, air_c: Array, incident: Array | None) -> tuple[str, Array | None]:
    """Where the sky's longwave comes from, and the longwave [W/m2]; None where it has to be assumed."""
    if "infrared_w_m2" in climate.hours:
        return "infrared", _hourly_mean(climate.hours["infrared_w_m2"])
    if "rh_pct" in climate.assumed:
        return "assumed", None
    if "cloud_okta" in climate.hours:
        origin, cloud = "dew point and cloud", _hourly_mean(climate.hours["cloud_okta"]) / cloud_cover.OKTAS
    elif incident is not None:
        origin, cloud = "dew point and sun", _cloud_of_days(climate, incident[:, FACINGS.index("roof")])
    else:
        return "assumed", None
    share = _hourly_mean(climate.hours["rh_pct"]).clip(1.0, 100.0) / 100.0
    dew_c = moist_air.dew_point(share * moist_air.water_saturation_pressure(air_c))
    emissivity = sky_temperature.sky_emissivity(sky_temperature.clear_sky_emissivity(dew_c), cloud)
    return origin, sky_temperature.infrared_from_sky(air_c, emissivity)


def _cloud_of_days(climate: Climate, global_w_m2: Array) -> Array:
    """Share of the sky under cloud in every hour, from the sun of its day."""
    times = climate.hours.index + HALF_HOUR
    clear = clear_sky_sun(sun_angles(times, _site(climate)))
    local = times + pd.Timedelta(hours=climate.header.longitude / 15.0)  # the sun's own day
    sums = pd.DataFrame({"sun": global_w_m2, "clear": clear}).groupby(local.floor("D")).transform("sum")
    share = (sums["sun"] / sums["clear"].where(sums["clear"] > 0.0)).to_numpy(dtype=float)
    return np.where(np.isfinite(share), cloud_cover.cloud_from_sun(np.nan_to_num(share)), USUAL_CLOUD)
