"""Heat that a sun collector gives to water."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers


def collector_heat(
    irradiance_w_per_m2: Numbers, excess_k: Numbers, eta0: Numbers, a1_w_per_m2k: Numbers, a2_w_per_m2k2: Numbers
) -> Array:
    """Heat from each square metre of a collector, none where it would lose more than it takes in. [W/m2]

    Parameters
    ----------
    irradiance_w_per_m2 : float or Array
        Sun on its plane, G [W/m2].
    excess_k : float or Array
        Mean temperature of the water in it less the outdoor air, dT [K].
    eta0 : float or Array
        Efficiency at no temperature difference [-].
    a1_w_per_m2k : float or Array
        Heat loss coefficient [W/m2K].
    a2_w_per_m2k2 : float or Array
        What the loss coefficient grows by for each kelvin [W/m2K2].

    Returns
    -------
    Array
        eta0 G - a1 dT - a2 dT |dT|, at least 0 [W/m2].

    Notes
    -----
    Steady, the sun at right angles; diffuse light and low sun give some per cent less. Water colder than the air gains
    what it would else lose.

    Source: the collector equation of EN ISO 9806 (from memory), by gross or aperture area as its test report says.

    Examples
    --------
    A flat collector (0.78, 3.6, 0.014) in 800 W/m2, its water 30 degC warmer than the air: 624 - 108 - 12.6 W/m2.

    >>> round(float(collector_heat(800.0, 30.0, 0.78, 3.6, 0.014)), 1)
    503.4
    """
    excess = np.asarray(excess_k, dtype=float)
    lost = a1_w_per_m2k * excess + a2_w_per_m2k2 * excess * np.abs(excess)
    return np.asarray(np.maximum(eta0 * np.asarray(irradiance_w_per_m2, dtype=float) - lost, 0.0))
