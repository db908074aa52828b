"""The vapour balance of a room's air over one step, implicit in the humidity at its end.

Evaporation, air change and what condenses on the coldest side change what the air holds. Without condensation the new
humidity ratio is W' = a W + b; a side below the dew point leaves W'' = c W' + (1 - c) W_sat. The air itself holds no
more than saturation, so the driest of the three is the true one.
"""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers
from thermal.physics.constants import CONDENSATION_J_PER_KG


def vapour_demand(held_kg_s: Numbers, change_kg_s: Numbers, evaporation_kg_s: Numbers) -> Array:
    """All that takes up vapour, for each unit of the new humidity ratio, while every side is dry. [kg/s]

    Parameters
    ----------
    held_kg_s : float or Array
        Dry air in the room over the length of the step [kg/s].
    change_kg_s : float or Array
        Dry outside air taken in [kg/s].
    evaporation_kg_s : float or Array
        Mass-transfer conductance of all open water together [kg/s].

    Returns
    -------
    Array
        Sum of the three [kg/s].

    Notes
    -----
    D = m/dt + m_change + sum(g A).

    Source: mass balance of the vapour, implicit Euler.

    Examples
    --------
    >>> round(float(vapour_demand(0.02, 0.01, 0.005)), 3)
    0.035
    """
    return np.asarray(held_kg_s) + change_kg_s + evaporation_kg_s


def dry_share(held_kg_s: Numbers, demand_kg_s: Numbers) -> Array:
    """Share of the old humidity ratio that is left in the new one without condensation, a. [-]

    Parameters
    ----------
    held_kg_s : float or Array
        Dry air in the room over the length of the step [kg/s].
    demand_kg_s : float or Array
        As `vapour_demand` returns it [kg/s].

    Returns
    -------
    Array
        Share [-].

    Notes
    -----
    a = (m/dt)/D.

    Source: mass balance of the vapour, implicit Euler.

    Examples
    --------
    >>> float(dry_share(0.02, 0.04))
    0.5
    """
    return np.divide(held_kg_s, demand_kg_s)


def dry_gain(change_kg_s: Numbers, outside_ratio: Numbers, evaporated_kg_s: Numbers, demand_kg_s: Numbers) -> Array:
    """What outside air and water bring to the new humidity ratio without condensation, b. [kg/kg]

    Parameters
    ----------
    change_kg_s : float or Array
        Dry outside air taken in [kg/s].
    outside_ratio : float or Array
        Its humidity ratio [kg/kg].
    evaporated_kg_s : float or Array
        Evaporation into bone-dry air: sum of conductance times saturated humidity ratio at the water;
        plus the vapour of plants [kg/s].
    demand_kg_s : float or Array
        As `vapour_demand` returns it [kg/s].

    Returns
    -------
    Array
        Gain [kg/kg].

    Notes
    -----
    b = (m_change W_outside + sum(g A W_water))/D.

    Source: mass balance of the vapour, implicit Euler.

    Examples
    --------
    >>> round(float(dry_gain(0.01, 0.003, 5e-5, 0.04)), 6)
    0.002
    """
    return (np.asarray(change_kg_s) * outside_ratio + evaporated_kg_s) / demand_kg_s


def dry_humidity_ratio(ratio: Numbers, share: Numbers, gain: Numbers) -> Array:
    """Humidity ratio at the end of the step without condensation. [kg/kg]

    Parameters
    ----------
    ratio : float or Array
        Humidity ratio at the beginning [kg/kg].
    share : float or Array
        `dry_share` [-].
    gain : float or Array
        `dry_gain` [kg/kg].

    Returns
    -------
    Array
        Humidity ratio [kg/kg].

    Notes
    -----
    W' = a W + b.

    Source: mass balance of the vapour, implicit Euler.

    Examples
    --------
    >>> round(float(dry_humidity_ratio(0.006, 0.5, 0.002)), 6)
    0.005
    """
    return share * np.asarray(ratio) + gain


def wet_share(demand_kg_s: Numbers, condensing_kg_s: Numbers) -> Array:
    """Share of the dry humidity ratio that a wet coldest side leaves, c. [-]

    Parameters
    ----------
    demand_kg_s : float or Array
        As `vapour_demand` returns it [kg/s].
    condensing_kg_s : float or Array
        Mass-transfer conductance to the coldest side [kg/s].

    Returns
    -------
    Array
        Share [-].

    Notes
    -----
    c = D/(D + K).

    Source: mass balance of the vapour, implicit Euler.

    Examples
    --------
    >>> float(wet_share(0.03, 0.01))
    0.75
    """
    return np.asarray(demand_kg_s) / (np.asarray(demand_kg_s) + condensing_kg_s)


def wet_humidity_ratio(dry_ratio: Numbers, share: Numbers, side_ratio: Numbers) -> Array:
    """Humidity ratio at the end of the step with a wet coldest side. [kg/kg]

    Parameters
    ----------
    dry_ratio : float or Array
        As `dry_humidity_ratio` returns it [kg/kg].
    share : float or Array
        `wet_share` [-].
    side_ratio : float or Array
        Humidity ratio of air saturated at the coldest side [kg/kg].

    Returns
    -------
    Array
        Humidity ratio [kg/kg].

    Notes
    -----
    W'' = c W' + (1 - c) W_sat.

    Source: mass balance of the vapour, implicit Euler.

    Examples
    --------
    >>> round(float(wet_humidity_ratio(0.008, 0.75, 0.004)), 6)
    0.007
    """
    return share * np.asarray(dry_ratio) + (1.0 - np.asarray(share)) * side_ratio


def new_humidity_ratio(dry_ratio: Numbers, wet_ratio: Numbers, ceiling: Numbers) -> Array:
    """Humidity ratio at the end of the step. [kg/kg]

    Parameters
    ----------
    dry_ratio, wet_ratio : float or Array
        As `dry_humidity_ratio` and `wet_humidity_ratio` return them [kg/kg].
    ceiling : float or Array
        Humidity ratio at which the air itself is saturated [kg/kg].

    Returns
    -------
    Array
        The driest of the three [kg/kg].

    Notes
    -----
    W_new = min(W', W'', W_sat,air): what the air cannot hold falls as fog.

    Source: mass balance of the vapour, implicit Euler.

    Examples
    --------
    >>> float(new_humidity_ratio(0.008, 0.007, 0.0075))
    0.007
    """
    return np.minimum(np.minimum(dry_ratio, wet_ratio), ceiling)


def condensation_heat(dry_ratio: Numbers, new_ratio: Numbers, demand_kg_s: Numbers) -> Array:
    """Heat that condensation and fog give off over the step. [W]

    Parameters
    ----------
    dry_ratio, new_ratio : float or Array
        Humidity ratio without condensation, and as it is [kg/kg].
    demand_kg_s : float or Array
        As `vapour_demand` returns it [kg/s].

    Returns
    -------
    Array
        Heat [W], zero when nothing condenses.

    Notes
    -----
    2.5e6 D (W' - W_new).

    Source: mass balance of the vapour, implicit Euler; 2.5e6 J/kg is the heat of evaporation near 0 degC.

    Examples
    --------
    >>> round(float(condensation_heat(0.008, 0.007, 0.04)), 6)
    100.0
    """
    return CONDENSATION_J_PER_KG * np.asarray(demand_kg_s) * np.subtract(dry_ratio, new_ratio)
