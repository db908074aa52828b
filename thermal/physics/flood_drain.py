"""Beds that drain into the tank when the pump stops, and take their water back when it starts."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from thermal.core.arrays import Array, Numbers


def moved_capacity(running: ArrayLike, drained_j_per_k: Numbers) -> Array:
    """Heat capacity of the beds' water that stands in the tank. [J/K]

    Parameters
    ----------
    running : ArrayLike of bool
        Whether the pump runs.
    drained_j_per_k : float or Array
        Heat capacity of the water that drains when it stops [J/K].

    Returns
    -------
    Array
        Heat capacity [J/K]: zero while the pump runs, all of it when not.

    Notes
    -----
    The beds then have that much less, the tank that much more.

    Source: mass balance of the water.

    Examples
    --------
    >>> moved_capacity([True, False], 5e5).tolist()
    [0.0, 500000.0]
    """
    return np.where(running, 0.0, drained_j_per_k)


def mixed_temperature(first_j_per_k: Numbers, first_c: Numbers, second_j_per_k: Numbers, second_c: Numbers) -> Array:
    """Temperature of two waters, once mixed. [degC]

    Parameters
    ----------
    first_j_per_k, second_j_per_k : float or Array
        Heat capacities, not both zero [J/K].
    first_c, second_c : float or Array
        Temperatures [degC].

    Returns
    -------
    Array
        Temperature [degC].

    Notes
    -----
    (C_1 t_1 + C_2 t_2)/(C_1 + C_2): no heat is lost.

    Source: energy balance; Cengel & Boles Ex. 4-12.

    Examples
    --------
    Cengel & Boles, Ex. 4-12: 50 kg of iron at 80 degC in 0.5 m3 of water at 25 degC, 25.6 degC.

    >>> round(float(mixed_temperature(500 * 0.997 * 4180.0, 25.0, 50 * 450.0, 80.0)), 1)
    25.6
    """
    total = np.add(first_j_per_k, second_j_per_k)
    return (np.multiply(first_j_per_k, first_c) + np.multiply(second_j_per_k, second_c)) / total


def switched_temperatures(
    bed_c: Numbers, tank_c: Numbers, bed_j_per_k: Numbers, tank_j_per_k: Numbers, moved_j_per_k: Numbers
) -> tuple[Array, Array]:
    """Temperatures of bed and tank after the pump has stopped or started. [degC, degC]

    Parameters
    ----------
    bed_c, tank_c : float or Array
        Temperatures before [degC].
    bed_j_per_k, tank_j_per_k : float or Array
        Heat capacities before [J/K].
    moved_j_per_k : float or Array
        Heat capacity that moves from bed to tank, negative when the bed takes it back [J/K].

    Returns
    -------
    bed_c, tank_c : Array
        Temperatures after: the receiver mixes, the giver keeps its own [degC].

    Notes
    -----
    C_bed t_bed + C_tank t_tank stays the same.

    Source: energy balance.

    Examples
    --------
    >>> bed, tank = switched_temperatures(8.0, 12.0, 2e6, 3e6, 1e6)
    >>> float(bed), float(tank)
    (8.0, 11.0)
    """
    out, back = np.maximum(moved_j_per_k, 0.0), np.maximum(np.negative(moved_j_per_k), 0.0)
    drained = mixed_temperature(tank_j_per_k, tank_c, out, bed_c)
    flooded = mixed_temperature(bed_j_per_k, bed_c, back, tank_c)
    return np.where(back > 0.0, flooded, bed_c), np.where(out > 0.0, drained, tank_c)
