"""A climate shifted to another elevation, or given the position and the yearly mean that its file lacks."""

from __future__ import annotations

from dataclasses import replace

from thermal.climate.dataset import Climate
from thermal.physics.sky_temperature import infrared_from_sky, sky_temperature

LAPSE_K_PER_M = 6.5e-3  # ICAO standard atmosphere


def at_elevation(climate: Climate, elevation_m: float | None) -> Climate:
    """The climate with its air temperature shifted to another elevation.

    Parameters
    ----------
    climate : Climate
        The climate.
    elevation_m : float or None
        Elevation of the site [m]; None leaves the climate as it is.

    Returns
    -------
    Climate
        Air temperature lower by 6.5 K for each 1,000 m of height.

    Source: ICAO standard atmosphere.
    """
    if elevation_m is None:
        return climate
    shift = LAPSE_K_PER_M * (climate.header.elevation_m - elevation_m)
    moved = climate.hours.assign(air_c=climate.hours["air_c"] + shift)
    if "infrared_w_m2" in moved:  # the sky stays as far below the air
        sky_c = sky_temperature(moved["infrared_w_m2"].to_numpy(dtype=float)) + shift
        moved["infrared_w_m2"] = infrared_from_sky(sky_c, 1.0)
    return replace(climate, hours=moved, header=replace(climate.header, elevation_m=elevation_m))


def at_position(
    climate: Climate, position: tuple[float, float] | None = None, annual_mean_c: float | None = None
) -> Climate:
    """The climate with position and yearly mean as the plan states them; the hours stay.

    Parameters
    ----------
    climate : Climate
        The climate.
    position : pair of float, optional
        Degrees north and east [degree]; that of the weather file where not given.
    annual_mean_c : float, optional
        Yearly mean of the air temperature [degC]; that of the weather file where not given.
    """
    header = climate.header
    if position is not None:
        header = replace(header, latitude=position[0], longitude=position[1], position_known=True)
    if annual_mean_c is not None:
        header = replace(header, annual_mean_c=annual_mean_c)
    return replace(climate, header=header)
