"""The one law that the solver evaluates in its own way: freezing, in place.

Held to the plain law by `tests/solver/test_tuned_laws.py`. All other laws are those of `thermal.physics`, on arrays in
the precision of the run.
"""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array
from thermal.physics.freezing import LEAST_CAPACITY_J_PER_K


def freeze(water_c: Array, ice_j: Array, capacity_j_per_k: Array, limit_j: Array) -> tuple[Array, Array]:
    """`freezing.water_and_ice` with the water held at 0 degC in place.

    Parameters
    ----------
    water_c : Array, shape (water node, column)
        As the step left it, below 0 degC where it should freeze; overwritten.
    ice_j : Array, shape (water node, column)
        Latent heat given up so far.
    capacity_j_per_k, limit_j : Array, shape (water node, column)
        The water's heat capacity, and the latent heat of all of it.

    Returns
    -------
    ice_j, given_j : Array, shape (water node, column)
        The ice now, and what freezing gave.
    """
    given = capacity_j_per_k * water_c
    ice = ice_j - given
    np.maximum(ice, 0.0, out=ice)
    np.minimum(ice, limit_j, out=ice)
    np.subtract(ice, ice_j, given)
    water_c += given / np.maximum(capacity_j_per_k, LEAST_CAPACITY_J_PER_K)
    return ice, given
