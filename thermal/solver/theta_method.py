"""The theta method fitted to the exponential: how much a step's new temperature counts in its mean."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array


def exponential_theta(step_over_time_constant: Array) -> Array:
    """Weight of the new value that makes one node's step exact.

    theta = 1/(1 - exp(-a)) - 1/a: 1/2 for slow nodes, 1 for fast ones.

    Parameters
    ----------
    step_over_time_constant : Array, any shape
        a = dt UA/C, not negative [1].

    Returns
    -------
    Array, same shape
        Between 1/2 and 1 [1]. Below a = 1e-3 the first terms of its series, 1/2 + a/12.

    Source: Liniger & Willoughby 1970, SIAM J. Numer. Anal. 7:47, exponential fitting.
    """
    small = step_over_time_constant < 1e-3
    safe = np.where(small, 1.0, step_over_time_constant)
    return np.where(small, 0.5 + step_over_time_constant / 12.0, -1.0 / np.expm1(-safe) - 1.0 / safe)
