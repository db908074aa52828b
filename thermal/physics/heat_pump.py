"""What an air-source heat pump gives for each unit of electricity."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from thermal.core.arrays import Array, Numbers


def heat_pump_cop(outdoor_c: Numbers, curve_c: ArrayLike, curve_cop: ArrayLike, coldest_c: float) -> Array:
    """Heat for each unit of electricity at an outdoor temperature. [-]

    Parameters
    ----------
    outdoor_c : float or Array
        Outdoor air [degC].
    curve_c : ArrayLike, shape (point,)
        Outdoor temperatures of the unit's curve, rising [degC].
    curve_cop : ArrayLike, shape (point,)
        Coefficient of performance at these [-].
    coldest_c : float
        Below this temperature the backup element works alone [degC].

    Returns
    -------
    Array
        Coefficient of performance, 1 where only the element works [-].

    Notes
    -----
    Straight lines between the points, the end values beyond them.

    Source: the curve's own; the one in use stands with its source in thermal/data/heat_pump.toml.

    Examples
    --------
    >>> [float(heat_pump_cop(outdoor, (-7.0, 2.0, 7.0), (2.6, 3.2, 4.2), -20.0)) for outdoor in (-21.0, 2.0, 4.5)]
    [1.0, 3.2, 3.7]
    """
    outdoor = np.asarray(outdoor_c, dtype=float)
    return np.where(
        outdoor < coldest_c, 1.0, np.interp(outdoor, np.asarray(curve_c, float), np.asarray(curve_cop, float))
    )
