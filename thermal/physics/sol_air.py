"""Sun and sky on an outer surface as a temperature above or below the outdoor air."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers


def sol_air_excess(absorbed_w_per_m2: Numbers, sky_loss_w_per_m2: Numbers, film_w_per_m2k: Numbers) -> Array:
    """How far the sol-air temperature of a surface is above the outdoor air. [K]

    Parameters
    ----------
    absorbed_w_per_m2 : float or Array
        Sun that the surface takes up: absorptance times irradiance [W/m2].
    sky_loss_w_per_m2 : float or Array
        Longwave that it loses to the sky when it is as warm as the air: emissivity times the share of the sky in its
        view times `sky_temperature.sky_loss` [W/m2].
    film_w_per_m2k : float or Array
        Heat transfer coefficient outside, convection and longwave together [W/m2K].

    Returns
    -------
    Array
        Kelvin above the air, negative below a cold sky [K].

    Notes
    -----
    (a I - e F L)/h_e. A wall of transmittance U takes in U times this for each m2, beside its loss to the air.

    Source: ASHRAE Handbook of Fundamentals 2017, chapter 18, eq. 25; ISO 13790:2008 section 11.3 (from memory).

    Examples
    --------
    The handbook's own figures: 63 W/m2 to the sky behind a film of 17 W/m2K is 4 K on a roof (3.7 K here).

    >>> round(float(sol_air_excess(0.0, 63.0, 17.0)), 1)
    -3.7
    """
    return np.asarray((np.asarray(absorbed_w_per_m2) - sky_loss_w_per_m2) / film_w_per_m2k)


def sky_view_factor(tilt_deg: Numbers) -> Array:
    """Share of the sky in the view of an unshaded surface. [-]

    Parameters
    ----------
    tilt_deg : float or Array
        Angle between surface and horizontal: 0 for a flat roof, 90 for a wall [degree].

    Returns
    -------
    Array
        View factor, 0 to 1 [-].

    Notes
    -----
    (1 + cos tilt)/2: 1 for a flat roof and 0.5 for a wall, as in ISO 13790.

    Source: ISO 13790:2008 section 11.4.6 for the two values (from memory); the view factor of a plane is geometry.

    Examples
    --------
    >>> [round(float(sky_view_factor(tilt)), 6) for tilt in (0.0, 90.0)]
    [1.0, 0.5]
    """
    return np.asarray(0.5 * (1.0 + np.cos(np.radians(np.asarray(tilt_deg, dtype=float)))))
