"""Heat that a pump which runs for some minutes in the hour carries between two waters."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers


def pulsed_conductance(flow_w_per_k: Numbers, run_s: Numbers, period_s: Numbers, joined_j_per_k: Numbers) -> Array:
    """Mean conductance between two mixed waters, one pumped through the other for a part of each period. [W/K]

    Parameters
    ----------
    flow_w_per_k : float or Array
        Heat capacity of the flow while the pump runs, not negative [W/K].
    run_s, period_s : float or Array
        How long it runs in each period, above 0, and the period, not shorter [s].
    joined_j_per_k : float or Array
        Heat capacities of both waters in series, C_1 C_2/(C_1 + C_2), above 0 [J/K].

    Returns
    -------
    Array
        Heat carried over a period, over the period and the mean difference in it [W/K].

    Notes
    -----
    Both waters lose heat at constant rates, so that without flow their difference D grows in a straight line. While
    the pump runs, D falls towards a level exponentially with tau = C/G. Over a settled period, with d = t_on/period,

        G_mean = C/(tau (2 - d) + (1 - d)^2 period/2 coth(t_on/(2 tau))).

    d = 1 gives G; short runs of a weak pump give d G; a strong pump gives 2 C/((1 - d)^2 period), for it cannot carry
    more than makes both waters alike.

    Source: energy balance of two lumps, our derivation; tests/physics/test_pump_duty.py integrates the pulses.

    Examples
    --------
    Always on, and a strong pump of 10 minutes in the hour: by hand 2 x 3.6e6/((5/6)^2 x 3600).

    >>> round(float(pulsed_conductance(1000.0, 3600.0, 3600.0, 3.6e6)), 6)
    1000.0
    >>> round(float(pulsed_conductance(1e9, 600.0, 3600.0, 3.6e6)))
    2880
    """
    run_share = np.asarray(run_s) / np.asarray(period_s)
    tau_s = np.asarray(joined_j_per_k) / np.maximum(np.asarray(flow_w_per_k), 1e-9)
    paused_s = (1.0 - run_share) ** 2 * period_s / (2.0 * np.tanh(np.asarray(run_s) / (2.0 * tau_s)))
    return np.asarray(joined_j_per_k / (tau_s * (2.0 - run_share) + paused_s))
