"""Transpiration of plants: the vapour that leaves give to the air, and the heat that it takes from it."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers
from thermal.physics.constants import CONDENSATION_J_PER_KG


def transpiration_rate(kg_per_m2_day: Numbers, area_m2: Numbers, hours: Numbers) -> Array:
    """Vapour that plants give off while there is light. [kg/s]

    Parameters
    ----------
    kg_per_m2_day : float or Array
        Water given off by each square metre of bed in a day [kg/m2].
    area_m2 : float or Array
        Area of the beds [m2].
    hours : float or Array
        Hours of light in a day, above 0 [h].

    Returns
    -------
    Array
        Rate in those hours [kg/s].

    Notes
    -----
    m = M A/(3600 t). It follows the light alone; in the dark the stomata are shut.

    Source: mass balance.

    Examples
    --------
    >>> round(float(transpiration_rate(1.0, 2.0, 16.0)) * 3600.0, 3)
    0.125
    """
    return np.asarray(kg_per_m2_day) * area_m2 / (3600.0 * np.asarray(hours))


def transpiration_heat(vapour_kg_s: Numbers) -> Array:
    """Heat that transpiration takes from the air round the leaves. [W]

    Parameters
    ----------
    vapour_kg_s : float or Array
        Vapour given off [kg/s].

    Returns
    -------
    Array
        Heat [W].

    Notes
    -----
    P = m L, with the heat of evaporation that condensation gives back. Leaves are light and take their heat from the
    air and the lamps, not from the water at the roots. To warm the cold water that replaces it takes less than 1 W/m2,
    and is left out.

    Source: energy balance.

    Examples
    --------
    One litre a day is 29 W (2.5 MJ/kg over 86,400 s).

    >>> round(float(transpiration_heat(1.0 / 86400.0)))
    29
    """
    return np.asarray(vapour_kg_s) * CONDENSATION_J_PER_KG
