"""Longwave radiation between the inner surfaces of a room, by way of one mean radiant temperature."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from thermal.core.arrays import Array
from thermal.physics.radiation import radiative_coefficient

ROUNDS = 60  # of the fixed point for the view of each surface; it gains a digit in 2 to 5 rounds


def radiant_star_conductances(area_m2: Sequence[float], emissivity: Sequence[float], mean_c: float) -> Array:
    """Conductance from each inner surface to the room's mean radiant temperature. [W/K]

    Parameters
    ----------
    area_m2 : sequence of float
        Areas of the surfaces that enclose the room [m2].
    emissivity : sequence of float
        Their emissivities, above zero [-].
    mean_c : float
        Temperature at which the radiation is made linear [degC].

    Returns
    -------
    Array, shape (surface,)
        Conductances [W/K].

    Notes
    -----
    A h_b/(1/F + (1 - e)/e), with h_b that of a black surface and F the factor by which a surface sees itself less
    than the others: F_i = 1/(1 - A_i F_i/sum(A F)). No surface may be more than half of the whole.

    Source: Carroll 1980, An MRT method of computing radiant energy exchange in rooms, Proc. 2nd Systems Simulation
    and Economic Analysis Conference, San Diego (from memory).

    Examples
    --------
    A cube of black surfaces: two of them exchange through A/6 to the mean and as much beyond, each 6/5 of its area.

    >>> [round(float(w), 3) for w in radiant_star_conductances([1.0] * 6, [1.0] * 6, 20.0)][:2]
    [6.857, 6.857]
    """
    area, black = np.asarray(area_m2, dtype=float), np.asarray(emissivity, dtype=float)
    factor = np.ones_like(area)
    for _ in range(ROUNDS):
        seen = area * factor
        factor = 1.0 / (1.0 - seen / seen.sum())
    resistance = 1.0 / factor + (1.0 - black) / black
    return np.asarray(area * radiative_coefficient(mean_c, 1.0) / resistance)
