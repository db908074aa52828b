"""Loss of a floor slab by its perimeter alone, the F-factor method."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers

# F of an unheated slab by insulation, ASHRAE 90.1-2010 table A6.3 (from memory), in BTU/h ft degF: down the edge for
# 24 in, and under the whole slab and its edge; at R-0, 5, 10 and 15.
BTU_PER_H_FT_F = 1.7307  # W/mK
TABLE_R = np.array([0.0, 0.88, 1.76, 2.64])
EDGE_F = BTU_PER_H_FT_F * np.array([0.73, 0.58, 0.54, 0.52])
WHOLE_F = BTU_PER_H_FT_F * np.array([0.73, 0.46, 0.36, 0.30])


def perimeter_factor(edge_r: Numbers, floor_r: Numbers) -> Array:
    """Loss of an unheated slab for each metre of its perimeter. [W/mK]

    Parameters
    ----------
    edge_r : float or Array
        Resistance of insulation down the edge, taken as 0.6 m deep [m2K/W].
    floor_r : float or Array
        Resistance of insulation under the whole slab [m2K/W].

    Returns
    -------
    Array
        F, the smaller of what both kinds of insulation give [W/mK].

    Notes
    -----
    Between the table's rows F is interpolated; beyond R-15 it stays.

    Source: ASHRAE 90.1-2010 table A6.3 (from memory).

    Examples
    --------
    >>> round(float(perimeter_factor(0.0, 0.0)), 2), round(float(perimeter_factor(1.76, 0.0)), 2)
    (1.26, 0.93)
    """
    edge = np.interp(edge_r, TABLE_R, EDGE_F)
    return np.minimum(edge, np.interp(floor_r, TABLE_R, WHOLE_F))


def perimeter_conductance(factor_w_per_mk: Numbers, perimeter_m: Numbers) -> Array:
    """Conductance of a floor to the outdoor air by the F-factor method. [W/K]

    Parameters
    ----------
    factor_w_per_mk : float or Array
        F [W/mK].
    perimeter_m : float or Array
        Exposed perimeter of the floor [m].

    Returns
    -------
    Array
        Conductance to the outdoor air's mean of the month [W/K].

    Notes
    -----
    H = F P.

    Source: ASHRAE Fundamentals 2009 ch. 18, slab floors (from memory).

    Examples
    --------
    >>> round(float(perimeter_conductance(1.26, 20.0)), 1)
    25.2
    """
    return np.asarray(factor_w_per_mk) * perimeter_m
