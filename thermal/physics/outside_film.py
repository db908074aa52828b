"""The heat transfer coefficient of an outer surface, and the wind that blows along it."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers
from thermal.physics.constants import EMISSIVITY_WALL
from thermal.physics.radiation import radiative_coefficient
from thermal.physics.wall_resistance import R_OUTSIDE

MAST_M, WALL_M = 10.0, 3.0  # heights of a weather station's wind and of the upper part of a wall
MAST_TERRAIN, SITE_TERRAIN = (270.0, 0.14), (370.0, 0.22)  # boundary layer [m] and exponent: open land, suburb

MEAN_WIND_M_S = 4.0  # at which ISO 6946:2017 table 7 gives its outside film


def outside_convection(wind_m_s: Numbers) -> Array:
    """Convective part of the outside film by wind. [W/m2K]

    Parameters
    ----------
    wind_m_s : float or Array
        Wind at the surface [m/s].

    Returns
    -------
    Array
        Coefficient [W/m2K].

    Notes
    -----
    4 + 4 v.

    Source: ISO 6946:2017 annex C, eq. C.3.

    Examples
    --------
    >>> float(outside_convection(4.0))
    20.0
    """
    return 4.0 + 4.0 * np.asarray(wind_m_s, dtype=float)


def outside_film(wind_m_s: Numbers, mean_c: Numbers, emissivity: Numbers = EMISSIVITY_WALL) -> Array:
    """Heat transfer coefficient of an outer surface by wind, convection and longwave together. [W/m2K]

    Parameters
    ----------
    wind_m_s : float or Array
        Wind at the surface [m/s].
    mean_c : float or Array
        Mean of the temperatures of surface and surroundings [degC].
    emissivity : float or Array
        Emissivity of the surface [-].

    Returns
    -------
    Array
        Coefficient [W/m2K].

    Notes
    -----
    h_e = 4 + 4 v + 4 e sigma Tm^3.

    Source: ISO 6946:2017 annex C, eq. C.1 to C.3. Its table 7 (0.04 m2K/W) is the same at 4 m/s.

    Examples
    --------
    >>> round(float(1.0 / outside_film(4.0, 10.0)), 3)
    0.041
    """
    return outside_convection(wind_m_s) + radiative_coefficient(mean_c, emissivity)


def transmittance_behind(transmittance_w_per_m2k: Numbers, film_w_per_m2k: Numbers) -> Array:
    """Transmittance of a side with another outside film than the standard's. [W/m2K]

    Parameters
    ----------
    transmittance_w_per_m2k : float or Array
        With the film of 0.04 m2K/W, at 4 m/s [W/m2K].
    film_w_per_m2k : float or Array
        The other film [W/m2K].

    Returns
    -------
    Array
        Transmittance [W/m2K].

    Notes
    -----
    1/(1/U - 0.04 + 1/h_e).

    Source: thermal resistances in series, ISO 6946:2017 section 6.

    Examples
    --------
    >>> round(float(transmittance_behind(5.88, 15.0)), 2)
    5.08
    """
    return np.asarray(1.0 / (1.0 / np.asarray(transmittance_w_per_m2k) - R_OUTSIDE + 1.0 / np.asarray(film_w_per_m2k)))


def wind_at_wall(station_m_s: Numbers) -> Array:
    """Wind along the wall of a building among others, from that of a weather station. [m/s]

    Parameters
    ----------
    station_m_s : float or Array
        Wind at 10 m over open land [m/s].

    Returns
    -------
    Array
        Wind at 3 m in a suburb [m/s].

    Notes
    -----
    (270/10)^0.14 (3/370)^0.22 = 0.55 of it.

    Source: ASHRAE Handbook of Fundamentals 2017, chapter 24, eq. 4 and table 1 (from memory).

    Examples
    --------
    >>> round(float(wind_at_wall(1.0)), 2)
    0.55
    """
    (mast_layer_m, mast_exponent), (site_layer_m, site_exponent) = MAST_TERRAIN, SITE_TERRAIN
    share = (mast_layer_m / MAST_M) ** mast_exponent * (WALL_M / site_layer_m) ** site_exponent
    return np.asarray(share * np.asarray(station_m_s, dtype=float))
