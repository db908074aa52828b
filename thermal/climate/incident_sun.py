"""The sun on walls and roof from the sun on the ground, by pvlib, which is imported only when a function is called."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import pandas as pd

from thermal.core.arrays import Array
from thermal.core.facings import AZIMUTH_DEG, FACINGS, ROOF
from thermal.physics.sol_air import sky_view_factor

GROUND_ALBEDO = 0.2  # of ground without snow; pvlib's default, ASHRAE 140-2020
FOUR = ("north", "east", "south", "west")


@dataclass(frozen=True)
class Site:
    """A place on Earth.

    Attributes
    ----------
    latitude, longitude : float
        Degrees north and east.
    elevation_m : float
        Height above sea level [m].
    """

    latitude: float
    longitude: float
    elevation_m: float


class SunAngles(NamedTuple):
    """Where the sun stands, each of shape (hour,)."""

    zenith_deg: Array
    azimuth_deg: Array


class HorizontalSun(NamedTuple):
    """Hourly means of the sun; shape (hour,)."""

    global_w_m2: Array  # on the horizontal
    direct_w_m2: Array  # on a plane square to the sun
    diffuse_w_m2: Array  # of the sky on the horizontal


def sun_angles(times: pd.DatetimeIndex, site: Site) -> SunAngles:
    """Where the sun stands at some times, refraction included.

    Parameters
    ----------
    times : DatetimeIndex, shape (hour,)
        UTC; for hourly means the middles of the hours.
    site : Site
        The place.
    """
    from pvlib import solarposition

    position = solarposition.get_solarposition(times, site.latitude, site.longitude, site.elevation_m)
    return SunAngles(position["apparent_zenith"].to_numpy(dtype=float), position["azimuth"].to_numpy(dtype=float))


def split_sun(times: pd.DatetimeIndex, angles: SunAngles, global_w_m2: Array) -> HorizontalSun:
    """Direct and diffuse part of the sun on the ground.

    Parameters
    ----------
    times : DatetimeIndex, shape (hour,)
        Middles of the hours, UTC.
    angles : SunAngles
        Where the sun stands then.
    global_w_m2 : Array, shape (hour,)
        Sun on the horizontal [W/m2].

    Notes
    -----
    All of it is diffuse where the sun is below the horizon at the middle of the hour.

    Source: Driesse, Jensen & Perez 2024, Solar Energy 268:112290 (Erbs' correlation made smooth), by pvlib.
    """
    from pvlib import irradiance

    parts = irradiance.erbs_driesse(global_w_m2, angles.zenith_deg, times.day_of_year.to_numpy())
    direct = np.nan_to_num(np.asarray(parts["dni"], dtype=float))
    diffuse = np.asarray(parts["dhi"], dtype=float)
    diffuse = np.where(np.isnan(diffuse) | (angles.zenith_deg >= 90.0), global_w_m2, diffuse)
    return HorizontalSun(global_w_m2, np.where(angles.zenith_deg >= 90.0, 0.0, direct), diffuse)


def incident_sun(times: pd.DatetimeIndex, angles: SunAngles, sun: HorizontalSun) -> Array:
    """Sun on walls of every direction and on a flat roof. [W/m2]

    Parameters
    ----------
    times : DatetimeIndex, shape (hour,)
        Middles of the hours, UTC.
    angles : SunAngles
        Where the sun stands then.
    sun : HorizontalSun
        The sun on the ground.

    Returns
    -------
    Array, shape (hour, facing)
        In the order of `core.facings.FACINGS`; the unknown one is the mean of north, east, south and west.

    Notes
    -----
    Direct, circumsolar, sky and horizon by Perez's model, and a fifth of the sun on the ground thrown back by it.

    Source: Perez, Ineichen, Seals, Michalsky & Stewart 1990, Solar Energy 44(5):271-289, by pvlib.
    """
    above = _above_the_air(times, angles)
    incident = np.empty((len(times), len(FACINGS)))
    for place, facing in enumerate(FACINGS):
        azimuth = AZIMUTH_DEG.get(facing)
        if azimuth is None:
            continue
        incident[:, place] = _on_plane(angles, sun, above, 90.0, azimuth)
    incident[:, FACINGS.index(ROOF)] = sun.global_w_m2
    incident[:, -1] = incident[:, [FACINGS.index(facing) for facing in FOUR]].mean(axis=1)
    return np.nan_to_num(incident)


def sun_on_plane(
    times: pd.DatetimeIndex, angles: SunAngles, sun: HorizontalSun, tilt_deg: float, azimuth_deg: float
) -> Array:
    """Sun on a tilted plane, shape (hour,), as `incident_sun` has it on walls. [W/m2]

    Parameters
    ----------
    times : DatetimeIndex, shape (hour,)
        Middles of the hours, UTC.
    angles : SunAngles
        Where the sun stands then.
    sun : HorizontalSun
        The sun on the ground.
    tilt_deg : float
        Angle between plane and horizontal, 90 for a wall [degree].
    azimuth_deg : float
        Direction that it faces, clockwise from north [degree].
    """
    return np.nan_to_num(_on_plane(angles, sun, _above_the_air(times, angles), tilt_deg, azimuth_deg))


def _above_the_air(times: pd.DatetimeIndex, angles: SunAngles) -> tuple[Array, Array]:
    """The sun above the atmosphere [W/m2], and the relative air mass that it passes [-]."""
    from pvlib import atmosphere, irradiance

    extra = np.asarray(irradiance.get_extra_radiation(times.day_of_year.to_numpy()), dtype=float)
    return extra, atmosphere.get_relative_airmass(angles.zenith_deg)


def _on_plane(
    angles: SunAngles, sun: HorizontalSun, above: tuple[Array, Array], tilt_deg: float, azimuth_deg: float
) -> Array:
    """Direct sun, sky and ground on a plane, NaN where the file has none. [W/m2]"""
    from pvlib import irradiance

    extra, airmass = above
    projection = irradiance.aoi_projection(tilt_deg, azimuth_deg, *angles)
    sky = irradiance.perez(tilt_deg, azimuth_deg, sun.diffuse_w_m2, sun.direct_w_m2, extra, *angles, airmass)
    alike = float(sky_view_factor(tilt_deg)) * sun.diffuse_w_m2
    sky = np.where(np.isnan(sky), alike, sky)  # the sun below the horizon, the sky alike all round
    ground = irradiance.get_ground_diffuse(tilt_deg, sun.global_w_m2, albedo=GROUND_ALBEDO)
    return np.asarray(sun.direct_w_m2 * np.maximum(projection, 0.0) + sky + ground)


def clear_sky_sun(angles: SunAngles) -> Array:
    """Sun on the ground under a cloudless sky, shape (hour,). [W/m2]

    Parameters
    ----------
    angles : SunAngles
        Where the sun stands.

    Source: Haurwitz 1945, Journal of Meteorology 2:154-166, by pvlib.
    """
    from pvlib import clearsky

    return np.asarray(clearsky.haurwitz(pd.Series(angles.zenith_deg))["ghi"], dtype=float)
