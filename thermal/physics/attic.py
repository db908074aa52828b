"""A vented attic over a ceiling."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers

ATTIC_ROOF = 1.2  # of a vented attic, for each m2 of ceiling [W/m2K]: the middle of six measured ones, 0.6 to 1.8


def attic_factor(ceiling_w_per_m2k: Numbers, roof_w_per_m2k: Numbers = ATTIC_ROOF) -> Array:
    """Share of the difference between room and outdoors that lies across a ceiling under a vented attic. [-]

    Parameters
    ----------
    ceiling_w_per_m2k : float or Array
        U-value of the ceiling between the two airs [W/m2K].
    roof_w_per_m2k : float or Array
        Conductance from the attic's air to outdoors by roof and ventilation, for each m2 of ceiling [W/m2K].

    Returns
    -------
    Array
        The reduction factor b, 0 to 1 [-].

    Notes
    -----
    b = H/(H + U): the attic's air balances what comes through the ceiling with what leaves.

    Source: ISO 13789, adjustment factor for an unheated space (from memory). H of 0.6 to 1.8 W/m2K: six ventilated
    attics of Finnish houses over 0.5 m of blown wool, winters 2010-2012 (github.com/anssilaukkarinen/trh-1).

    Examples
    --------
    Over 0.5 m of blown wool, U about 0.085 W/m2K, the six attics kept 0.91 to 0.96.

    >>> round(float(attic_factor(0.085)), 2)
    0.93
    """
    roof = np.asarray(roof_w_per_m2k)
    return np.asarray(roof / (roof + np.asarray(ceiling_w_per_m2k)))
