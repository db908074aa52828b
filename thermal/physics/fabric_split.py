"""The room's fabric as one node: sides keep their steady UA, split at the inside film."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers
from thermal.physics.wall_resistance import R_INSIDE


def air_fabric_conductance(area_m2: Numbers) -> Array:
    """Conductance of the inside film of all sides, room air to fabric node. [W/K]

    Parameters
    ----------
    area_m2 : float or Array
        Area of all sides together [m2].

    Returns
    -------
    Array
        Conductance [W/K].

    Notes
    -----
    A/0.13, convection and longwave together.

    Source: ISO 13790:2008 section 12.2.2, with the film of ISO 6946:2017 table 7.

    Examples
    --------
    >>> round(float(air_fabric_conductance(13.0)), 9)
    100.0
    """
    return np.asarray(area_m2) / R_INSIDE["horizontal"]


def fabric_beyond_conductance(ua_w_per_k: Numbers, air_fabric_w_per_k: Numbers) -> Array:
    """Conductance from the fabric node to all that lies beyond the sides. [W/K]

    Parameters
    ----------
    ua_w_per_k : float or Array
        Steady conductance of all sides, films included [W/K].
    air_fabric_w_per_k : float or Array
        Conductance of the inside film, above `ua_w_per_k` [W/K].

    Returns
    -------
    Array
        Conductance that leaves the sum in series at the steady UA [W/K].

    Notes
    -----
    1/(1/UA - 1/H_film).

    Source: ISO 13790:2008 section 12.2.2.

    Examples
    --------
    >>> round(float(fabric_beyond_conductance(20.0, 100.0)), 9)
    25.0
    """
    return 1.0 / (1.0 / np.asarray(ua_w_per_k) - 1.0 / np.asarray(air_fabric_w_per_k))


def boundary_conductance(fabric_beyond_w_per_k: Numbers, side_ua_w_per_k: Numbers, total_ua_w_per_k: Numbers) -> Array:
    """What one side takes of the fabric node's conductance to the outside. [W/K]

    Parameters
    ----------
    fabric_beyond_w_per_k : float or Array
        From the fabric node to all boundaries together [W/K].
    side_ua_w_per_k : float or Array
        Steady conductance of the side, or of some sides [W/K].
    total_ua_w_per_k : float or Array
        Steady conductance of all sides, above zero [W/K].

    Returns
    -------
    Array
        Conductance [W/K].

    Notes
    -----
    H_beyond UA_side/UA_total.

    Source: ISO 13790:2008 section 12.2.2; the split by UA is our reading, no source.

    Examples
    --------
    >>> float(boundary_conductance(25.0, 5.0, 20.0))
    6.25
    """
    return np.asarray(fabric_beyond_w_per_k) * side_ua_w_per_k / total_ua_w_per_k
