"""The wall of a vessel that stands between its water and another room, or outdoors."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers
from thermal.physics.wall_resistance import R_BEYOND


def facing_transmittance(resistance: Numbers, faces: str) -> Array:
    """U-value of a vessel's wall between its water and what lies beyond. [W/m2K]

    Parameters
    ----------
    resistance : float or Array
        Resistance of the wall with its insulation [m2K/W].
    faces : str
        "house" or "outdoors".

    Returns
    -------
    Array
        U-value [W/m2K].

    Raises
    ------
    KeyError
        When `faces` is not known.

    Notes
    -----
    U = 1/(R + R_beyond), R_beyond 0.13 to a house and 0.04 outdoors. Water has no film of its own: it resists some
    0.002 m2K/W.

    Source: ISO 6946:2017 table 7; that water needs no film is our judgement.

    Examples
    --------
    >>> float(facing_transmittance(0.87, "house")), float(facing_transmittance(0.46, "outdoors"))
    (1.0, 2.0)
    """
    return 1.0 / (np.asarray(resistance) + R_BEYOND[faces])
