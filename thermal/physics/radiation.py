"""Longwave radiation between two surfaces, made linear in their temperature difference."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers
from thermal.physics.constants import STEFAN_BOLTZMANN, ZERO_C_K


def radiative_coefficient(mean_c: Numbers, emissivity: Numbers) -> Array:
    """Linear longwave coefficient of a surface in large surroundings. [W/m2K]

    Parameters
    ----------
    mean_c : float or Array
        Mean of the two surfaces' temperatures [degC].
    emissivity : float or Array
        Emissivity of the surface [-].

    Returns
    -------
    Array
        Radiative coefficient [W/m2K].

    Notes
    -----
    h_r = 4 eps sigma Tm^3. Against the difference of the fourth powers it is low by (dT/2Tm)^2: 0.13 % at 20 K.

    Source: ISO 6946:2017 annex C.

    Examples
    --------
    Stefan-Boltzmann with ht 1.2.0: 4.636 W/m2K between 15 and 5 degC at 0.9.

    >>> round(float(radiative_coefficient(10.0, 0.9)), 2)
    4.63
    """
    kelvin = np.asarray(mean_c) + ZERO_C_K
    return 4.0 * emissivity * STEFAN_BOLTZMANN * kelvin * kelvin * kelvin
