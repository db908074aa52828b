"""What water gives to the air round its vessel: through the open surface or a lid, and through the walls.

Film coefficients come from `evaporation`, `radiation` and `natural_convection`; here they become conductances.
"""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers


def lid_factor(convective: Numbers, radiative: Numbers, lid_r: Numbers) -> Array:
    """Share of the open surface's dry heat that a lid lets by. [-]

    Parameters
    ----------
    convective, radiative : float or Array
        Coefficients of the surface [W/m2K].
    lid_r : float or Array
        Resistance of lid or media, 0 for open water [m2K/W].

    Returns
    -------
    Array
        Share [-], 1 for open water.

    Notes
    -----
    1/(1 + (h_c + h_r) R): the lid in series with the film above it.

    Source: thermal resistances in series, by definition.

    Examples
    --------
    >>> float(lid_factor(5.0, 5.0, 0.9))
    0.1
    """
    return 1.0 / (1.0 + (np.asarray(convective) + radiative) * lid_r)


def surface_convection_conductance(
    area_m2: Numbers, convective: Numbers, radiative: Numbers, lid_r: Numbers = 0.0
) -> Array:
    """Conductance from the water to the air by convection at the surface. [W/K]

    Parameters
    ----------
    area_m2 : float or Array
        Open area [m2].
    convective, radiative : float or Array
        Coefficients of the surface [W/m2K].
    lid_r : float or Array
        Resistance of lid or media [m2K/W].

    Returns
    -------
    Array
        Conductance [W/K].

    Notes
    -----
    A h_c/(1 + (h_c + h_r) R).

    Source: thermal resistances in series, by definition.

    Examples
    --------
    >>> float(surface_convection_conductance(2.0, 3.0, 5.0)), float(surface_convection_conductance(2.0, 5.0, 5.0, 0.9))
    (6.0, 1.0)
    """
    return area_m2 * np.asarray(convective) * lid_factor(convective, radiative, lid_r)


def surface_longwave_conductance(
    area_m2: Numbers, convective: Numbers, radiative: Numbers, lid_r: Numbers = 0.0
) -> Array:
    """Conductance from the water to the room's surfaces by longwave radiation. [W/K]

    Parameters
    ----------
    area_m2 : float or Array
        Open area [m2].
    convective, radiative : float or Array
        Coefficients of the surface [W/m2K].
    lid_r : float or Array
        Resistance of lid or media [m2K/W].

    Returns
    -------
    Array
        Conductance [W/K].

    Notes
    -----
    A h_r/(1 + (h_c + h_r) R).

    Source: thermal resistances in series, by definition.

    Examples
    --------
    >>> float(surface_longwave_conductance(2.0, 3.0, 5.0)), float(surface_longwave_conductance(2.0, 5.0, 5.0, 0.9))
    (10.0, 1.0)
    """
    return area_m2 * np.asarray(radiative) * lid_factor(convective, radiative, lid_r)


def evaporation_conductance(area_m2: Numbers, mass_transfer: Numbers, share: Numbers = 1.0) -> Array:
    """Evaporation of a vessel for each unit of humidity-ratio difference. [kg/s]

    Parameters
    ----------
    area_m2 : float or Array
        Open area [m2].
    mass_transfer : float or Array
        Mass-transfer coefficient g [kg/(s m2)].
    share : float or Array
        Share of open-water evaporation that a cover lets by [-].

    Returns
    -------
    Array
        Mass-transfer conductance [kg/s].

    Notes
    -----
    A g s.

    Source: definition; g of Shah 2014 (`evaporation`).

    Examples
    --------
    >>> round(float(evaporation_conductance(2.0, 0.003, 0.1)), 6)
    0.0006
    """
    return area_m2 * np.asarray(mass_transfer) * share


def wall_conductance(area_m2: Numbers, film: Numbers, wall_r: Numbers) -> Array:
    """Conductance from the water through the vessel's walls to the air. [W/K]

    Parameters
    ----------
    area_m2 : float or Array
        Wall area [m2].
    film : float or Array
        Coefficient of the outer film, convection and longwave together [W/m2K].
    wall_r : float or Array
        Resistance of the wall [m2K/W]; the water's own film counts for nothing.

    Returns
    -------
    Array
        Conductance [W/K].

    Notes
    -----
    A h/(1 + h R).

    Source: thermal resistances in series, by definition.

    Examples
    --------
    Bare: the film alone. Behind R 0.875 and a film of 8 W/m2K: 1 W/m2K.

    >>> float(wall_conductance(3.0, 8.0, 0.0)), float(wall_conductance(3.0, 8.0, 0.875))
    (24.0, 3.0)
    """
    return area_m2 * np.asarray(film) * wall_excess_share(film, wall_r)


def wall_excess_share(film: Numbers, wall_r: Numbers) -> Array:
    """Share of the water's excess over the air that the outer wall surface has. [-]

    Parameters
    ----------
    film : float or Array
        Coefficient of the outer film, convection and longwave together [W/m2K].
    wall_r : float or Array
        Resistance of the wall [m2K/W].

    Returns
    -------
    Array
        (t_surface - t_air)/(t_water - t_air) [-].

    Notes
    -----
    1/(1 + h R).

    Source: thermal resistances in series, by definition.

    Examples
    --------
    >>> float(wall_excess_share(8.0, 0.375))
    0.25
    """
    return 1.0 / (1.0 + np.asarray(film) * wall_r)
