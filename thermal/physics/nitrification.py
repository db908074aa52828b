"""How fast the bacteria of a filter turn ammonia into nitrate in cool water."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers

REFERENCE_C = 25.0
GROWTH_PER_K = 1.09  # Rusten et al. 2006


def nitrification_share(water_c: Numbers) -> Array:
    """Rate of nitrification, as a share of that in water of 25 degC. [-]

    Parameters
    ----------
    water_c : float or Array
        Water temperature [degC].

    Returns
    -------
    Array
        Share [-]; above 1 in warmer water.

    Notes
    -----
    1.09^(t - 25). For bacteria that have had weeks to get used to the temperature, from 1 to 30 degC: they then still
    have 0.18 +- 0.05 of their rate at 20 degC at 1 degC (Hoang et al. 2014, Water Research 49:215; here 0.19). After a
    sudden cold they have less.

    Source: Rusten et al. 2006, Aquacultural Engineering 34:322 (its factor 1.09 a kelvin, from later publications).

    Examples
    --------
    By hand, a half where (t - 25) ln 1.09 = -ln 2.

    >>> round(float(nitrification_share(16.957)), 3)
    0.5
    """
    return np.asarray(GROWTH_PER_K ** (np.asarray(water_c) - REFERENCE_C))
