"""The outdoor air that a fan by humidity brings in."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers


def air_to_bring(
    vapour_kg_s: Numbers, change_kg_s: Numbers, set_ratio: Numbers, outdoor_ratio: Numbers, most_kg_s: Numbers
) -> Array:
    """Outdoor air that holds a room at its set humidity in the steady state. [kg/s]

    Parameters
    ----------
    vapour_kg_s : float or Array
        What the room's air takes up at the set humidity, less what condenses then [kg/s].
    change_kg_s : float or Array
        Outdoor air that enters without the fan [kg/s].
    set_ratio, outdoor_ratio : float or Array
        Humidity ratio of air of the set relative humidity, and outdoors [kg/kg].
    most_kg_s : float or Array
        What the fan can bring [kg/s].

    Returns
    -------
    Array
        Dry air, from 0 to `most_kg_s`; 0 where outdoor air is as moist as the set humidity [kg/s].

    Notes
    -----
    (s - V (W_set - W_out))/(W_set - W_out), within its limits.

    Source: steady mass balance of the vapour.

    Examples
    --------
    0.1 kg/h of vapour, 2 g/kg of difference: 50 kg/h of air, of which 20 enter anyhow.

    >>> round(float(air_to_bring(0.1 / 3600, 20 / 3600, 0.006, 0.004, 1.0)) * 3600, 6)
    30.0
    """
    drier = np.subtract(set_ratio, outdoor_ratio)
    is_drier = drier > 0.0
    needed = np.divide(vapour_kg_s, np.where(is_drier, drier, 1.0)) - change_kg_s
    return np.asarray(np.where(is_drier, np.clip(needed, 0.0, most_kg_s), 0.0))
