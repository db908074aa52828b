"""Sun that glass and plastic let in."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers

SLANTING_SUN = 0.9  # what of the value for sun at right angles holds on the mean of a season: ISO 13790:2008 11.4.2


def transmitted_sun(area_m2: Numbers, g_value: Numbers, irradiance_w_per_m2: Numbers) -> Array:
    """Heat that a window or a translucent cover lets in from the sun. [W]

    Parameters
    ----------
    area_m2 : float or Array
        Area of the whole window, frame included [m2].
    g_value : float or Array
        Total solar energy transmittance of the whole window for sun at right angles, frame included [-].
    irradiance_w_per_m2 : float or Array
        Sun on its plane [W/m2].

    Returns
    -------
    Array
        Heat [W].

    Notes
    -----
    0.9 g A I.

    Source: ISO 13790:2008 section 11.4.2 (from memory).

    Examples
    --------
    >>> round(float(transmitted_sun(2.0, 0.75, 400.0)), 1)
    540.0
    """
    return np.asarray(SLANTING_SUN * np.asarray(area_m2) * g_value * np.asarray(irradiance_w_per_m2))
