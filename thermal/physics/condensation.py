"""The coldest inner surface: how cold it is, when it runs wet, when mould may grow, what vapour it takes."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers
from thermal.physics.constants import CP_AIR, INSIDE_CONVECTION, LEWIS_TWO_THIRDS
from thermal.physics.moist_air import saturation_pressure
from thermal.physics.wall_resistance import R_INSIDE

R_MOULD = 0.25  # m2K/W, inside film behind which mould is judged, ISO 13788:2012 section 4.4.1
MOULD_RH = 0.80  # surface humidity above which mould grows in time, ISO 13788:2012
FOG_RH = 0.98  # of the air itself, our judgement: see `is_foggy`


def surface_drop_share(transmittance: Numbers, film_r: Numbers = R_INSIDE["horizontal"]) -> Array:
    """Share of the temperature drop between two airs that lies in the inside film. [-]

    Parameters
    ----------
    transmittance : float or Array
        U-value of the side, its films included [W/m2K].
    film_r : float or Array
        Resistance of the inside film [m2K/W].

    Returns
    -------
    Array
        (t_air - t_surface)/(t_air - t_beyond) [-].

    Notes
    -----
    U R_si, which is 1 - f_Rsi.

    Source: ISO 13788:2012, temperature factor at the internal surface.

    Examples
    --------
    >>> float(surface_drop_share(2.0))
    0.26
    """
    return np.asarray(transmittance) * film_r


def surface_temperature_factor(transmittance: Numbers, film_r: Numbers = R_MOULD) -> Array:
    """Temperature factor of the inner surface, f_Rsi. [-]

    Parameters
    ----------
    transmittance : float or Array
        U-value of the side with `film_r` as its inside film [W/m2K].
    film_r : float or Array
        Resistance of the inside film [m2K/W].

    Returns
    -------
    Array
        (t_surface - t_beyond)/(t_air - t_beyond) [-].

    Notes
    -----
    f_Rsi = 1 - U R_si.

    Source: ISO 13788:2012, temperature factor at the internal surface.

    Examples
    --------
    >>> float(surface_temperature_factor(1.0))
    0.75
    """
    return 1.0 - surface_drop_share(transmittance, film_r)


def corner_drop_share(drop_share: Numbers) -> Array:
    """The same side's share of the temperature drop behind the still air of a corner. [-]

    Parameters
    ----------
    drop_share : float or Array
        `surface_drop_share` with the ordinary film of 0.13 m2K/W; zero stays zero [-].

    Returns
    -------
    Array
        Share with a film of 0.25 m2K/W [-].

    Notes
    -----
    0.25/(0.13/s - 0.13 + 0.25): the film is exchanged, the rest of the side stays.

    Source: ISO 13788:2012 section 4.4.1, R_si 0.25 m2K/W for mould.

    Examples
    --------
    R 0.52 in all, 0.39 without its film: 0.25/0.64.

    >>> round(float(corner_drop_share(0.25)), 4)
    0.3906
    """
    film = R_INSIDE["horizontal"]
    share = np.maximum(drop_share, 1e-9)
    return np.asarray(R_MOULD / (film / share - film + R_MOULD) * np.greater(drop_share, 0.0))


def surface_temperature(inside_c: Numbers, beyond_c: Numbers, drop_share: Numbers) -> Array:
    """Temperature of the inner surface. [degC]

    Parameters
    ----------
    inside_c, beyond_c : float or Array
        Air inside and beyond the side [degC].
    drop_share : float or Array
        `surface_drop_share` or `corner_drop_share` [-].

    Returns
    -------
    Array
        Temperature [degC].

    Notes
    -----
    t_si = t_i - s (t_i - t_e).

    Source: ISO 13788:2012, temperature factor at the internal surface.

    Examples
    --------
    >>> float(surface_temperature(10.0, -10.0, 0.25))
    5.0
    """
    return np.asarray(inside_c) - drop_share * np.subtract(inside_c, beyond_c)


def is_condensing(vapour_pa: Numbers, surface_c: Numbers) -> Array:
    """Whether a surface runs wet. [bool]

    Parameters
    ----------
    vapour_pa : float or Array
        Vapour pressure of the air [Pa].
    surface_c : float or Array
        Temperature of the surface [degC].

    Returns
    -------
    Array
        Whether the vapour pressure is above saturation at the surface.

    Notes
    -----
    p_v > p_sat(t_si).

    Source: ISO 13788:2012.

    Examples
    --------
    >>> bool(is_condensing(900.0, 5.0)), bool(is_condensing(800.0, 5.0))
    (True, False)
    """
    return np.greater(vapour_pa, saturation_pressure(surface_c))


def layer_drop_share(layer_r: Numbers, film_r: Numbers = R_INSIDE["horizontal"]) -> Array:
    """Share of the drop from air to water that lies in the air's film on the wall between them. [-]

    Parameters
    ----------
    layer_r : float or Array
        Resistance of the wall of a vessel without films [m2K/W].
    film_r : float or Array
        Resistance of the air's film [m2K/W].

    Returns
    -------
    Array
        (t_air - t_surface)/(t_air - t_water) [-].

    Notes
    -----
    R_si/(R_si + R). The water's film is left out: it is some hundredth of the air's.

    Source: ISO 6946:2017 table 7 for R_si 0.13 m2K/W, steady heat flow through layers in series.

    Examples
    --------
    A thin steel wall is as cold as its water; a wall of R 0.39 leaves a quarter of the drop to the film.

    >>> float(layer_drop_share(0.0)), float(layer_drop_share(0.39))
    (1.0, 0.25)
    """
    return np.asarray(film_r / (film_r + np.asarray(layer_r)))


def is_foggy(vapour_pa: Numbers, air_c: Numbers) -> Array:
    """Whether the air itself is saturated. [bool]

    Parameters
    ----------
    vapour_pa : float or Array
        Partial pressure of the vapour [Pa].
    air_c : float or Array
        The air, not a surface [degC].

    Returns
    -------
    Array
        Whether the relative humidity is 98 % or more.

    Notes
    -----
    p_v >= 0.98 p_sat(t_air). A simulation holds the air to the saturation of the start of each update interval, and
    its mean over the hour can be a few tenths of a degree warmer: 2 % of humidity is 0.3 degC.

    Source: the 98 % is our judgement, no source.

    Examples
    --------
    At 10 degC saturation is 1,228 Pa.

    >>> is_foggy([1150.0, 1225.0], 10.0).tolist()
    [False, True]
    """
    return np.greater_equal(vapour_pa, FOG_RH * saturation_pressure(air_c))


def is_mould_possible(vapour_pa: Numbers, surface_c: Numbers) -> Array:
    """Whether a surface is humid enough for mould, if it stays so for days. [bool]

    Parameters
    ----------
    vapour_pa : float or Array
        Vapour pressure of the air [Pa].
    surface_c : float or Array
        Temperature of the surface behind the film of a corner [degC].

    Returns
    -------
    Array
        Whether the humidity at the surface is above 80 %.

    Notes
    -----
    p_v > 0.8 p_sat(t_si).

    Source: ISO 13788:2012.

    Examples
    --------
    >>> bool(is_mould_possible(800.0, 5.0)), bool(is_mould_possible(600.0, 5.0))
    (True, False)
    """
    return np.greater(vapour_pa, MOULD_RH * saturation_pressure(surface_c))


def condensing_conductance(area_m2: Numbers) -> Array:
    """Mass-transfer conductance from the room's air to a cold side. [kg/s]

    Parameters
    ----------
    area_m2 : float or Array
        Area of the side [m2].

    Returns
    -------
    Array
        Vapour for each unit of humidity ratio [kg/s].

    Notes
    -----
    A h_c/(cp Le^(2/3)) with h_c = 2.5 W/m2K, the convective part of an inside film.

    Source: ISO 6946:2017 annex C; Chilton-Colburn analogy, Cengel, Heat and Mass Transfer, eq. 14-89.

    Examples
    --------
    >>> round(float(condensing_conductance(10.0)), 5)
    0.02737
    """
    return np.asarray(area_m2) * INSIDE_CONVECTION / (CP_AIR * LEWIS_TWO_THIRDS)
