"""Freezing water: it stays at 0 degC while its deficit of heat becomes ice."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers
from thermal.physics.constants import FUSION_J_PER_KG

LEAST_CAPACITY_J_PER_K = 1e-6  # of a drained bed, so that nothing is divided by zero

AT_FREEZING_C = 1e-4  # at or below, water freezes: it stands at 0 degC to rounding only


def ice_limit(water_kg: Numbers) -> Array:
    """Heat that freezing all of some water gives. [J]

    Parameters
    ----------
    water_kg : float or Array
        Mass of water [kg].

    Returns
    -------
    Array
        Latent heat [J].

    Notes
    -----
    m L_f with L_f = 333,550 J/kg.

    Source: CRC Handbook.

    Examples
    --------
    >>> float(ice_limit(2.0))
    667100.0
    """
    return np.asarray(water_kg) * FUSION_J_PER_KG


def water_and_ice(water_c: Numbers, ice_j: Numbers, capacity_j_per_k: Numbers, limit_j: Numbers) -> tuple[Array, Array]:
    """Water temperature and ice after a step that knew no freezing. [degC, J]

    Parameters
    ----------
    water_c : float or Array
        Water temperature as if it did not freeze [degC].
    ice_j : float or Array
        Ice before the step, as the latent heat it gave [J].
    capacity_j_per_k : float or Array
        Heat capacity of the water [J/K].
    limit_j : float or Array
        Most ice there can be, `ice_limit` [J].

    Returns
    -------
    water_c : Array
        Temperature, held at 0 degC while part of the water is ice [degC].
    ice_j : Array
        Ice after the step, as latent heat [J].

    Notes
    -----
    The enthalpy C t - I is conserved: I' = min(max(I - C t, 0), I_max), t' = t + (I' - I)/C. The heat capacity of ice
    is taken as water's.

    Source: the enthalpy method, Voller & Cross 1981, Int. J. Heat Mass Transfer 24:545.

    Examples
    --------
    100 kg of water that would be at -1 degC: 419 kJ of ice at 0 degC, 1.26 kg of it.

    >>> water, ice = water_and_ice(-1.0, 0.0, 419_000.0, ice_limit(100.0))
    >>> float(water), float(ice), round(float(ice) / FUSION_J_PER_KG, 2)
    (0.0, 419000.0, 1.26)
    """
    ice = np.clip(ice_j - np.asarray(capacity_j_per_k) * water_c, 0.0, limit_j)
    given = ice - ice_j
    return water_c + given / np.maximum(capacity_j_per_k, LEAST_CAPACITY_J_PER_K), ice
