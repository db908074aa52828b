"""What a dehumidifier takes from the air of a room: how much it can at some temperature, and how much it does."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers


def removal_share(
    air_c: Numbers, constant: Numbers, per_k: Numbers, per_k2: Numbers, stops_c: Numbers, full_c: Numbers
) -> Array:
    """Water that a dehumidifier can take from the air, as a share of its rated capacity. [-]

    Parameters
    ----------
    air_c : float or Array
        Temperature of the air [degC].
    constant, per_k, per_k2 : float or Array
        Coefficients a [-], b [1/K] and c [1/K2] of the curve of its kind, at the set humidity.
    stops_c, full_c : float or Array
        Temperatures at which frost stops it, and from which it need not pause for frost [degC].

    Returns
    -------
    Array
        Share, never below zero [-].

    Notes
    -----
    max(0, a + b t + c t2) times (t - t_stop)/(t_full - t_stop) within 0 and 1.

    Source: Winkler, Christensen and Tomerlin 2011, NREL/TP-5500-52791, for the curve; the pauses for frost are common
    practice.

    Examples
    --------
    >>> [float(removal_share(air_c, 1.0, 0.0, 0.0, 5.0, 10.0)) for air_c in (4.0, 7.5, 20.0)]
    [0.0, 0.5, 1.0]
    """
    t = np.asarray(air_c)
    running = np.clip((t - stops_c) / (np.asarray(full_c) - stops_c), 0.0, 1.0)
    return np.asarray(np.maximum(constant + (per_k + per_k2 * t) * t, 0.0) * running)


def vapour_to_remove(
    dry_ratio: Numbers,
    set_ratio: Numbers,
    demand_kg_s: Numbers,
    condensing_kg_s: Numbers,
    side_ratio: Numbers,
) -> Array:
    """Vapour to take from the air in a step so that it ends at the set humidity; below zero where it ends drier. [kg/s]

    Parameters
    ----------
    dry_ratio : float or Array
        `humidity_balance.dry_humidity_ratio` without a dehumidifier [kg/kg].
    set_ratio : float or Array
        Humidity ratio of air of the set relative humidity [kg/kg].
    demand_kg_s : float or Array
        `humidity_balance.vapour_demand` [kg/s].
    condensing_kg_s, side_ratio : float or Array
        Mass-transfer conductance to the coldest side [kg/s], and humidity ratio of air saturated there [kg/kg].

    Returns
    -------
    Array
        Vapour [kg/s].

    Notes
    -----
    D (W' - W_set) - K max(W_set - W_side, 0): the balance at the set humidity, what condenses on the side left out.

    Source: mass balance of the vapour, implicit Euler.

    Examples
    --------
    >>> round(float(vapour_to_remove(0.008, 0.006, 0.03, 0.01, 0.005)), 6)
    5e-05
    """
    above_side = np.maximum(np.subtract(set_ratio, side_ratio), 0.0)
    return np.asarray(demand_kg_s * np.subtract(dry_ratio, set_ratio) - condensing_kg_s * above_side)
