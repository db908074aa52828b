"""A tank sunk in the ground: what walls and bottom lose to the ground's surface round it.

ISO 13370 has a form for cellars. It is made for houses: at the size of tanks it comes out 2 to 68 % below a numerical
solution of the conduction, half of them by a quarter or more, since heat spreads in three dimensions there. So the
path from the walls is fitted to that solution, which `tests/physics/test_buried_vessel.py` has. The thickness of soil
that insulates like a wall, and the path from a well-insulated floor, are those of the standard.
"""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers
from thermal.physics.wall_resistance import R_OUTSIDE

FLOOR_PATH = 0.457  # m of soil for each m of half the width, ISO 13370:2017 section 7.2 (from memory)
WALL_PATH, WALL_POWER = 0.28, 0.26  # fitted


def buried_wall_transmittance(depth_m: Numbers, breadth_m: Numbers, wall_r: Numbers, soil_w_per_mk: Numbers) -> Array:
    """Steady U-value of the walls of a sunk tank, over their part below the ground's surface. [W/m2K]

    Parameters
    ----------
    depth_m : float or Array
        Depth of the bottom below the surface [m].
    breadth_m : float or Array
        Area of the bottom over half its perimeter, B of ISO 13370; the radius of a round one [m].
    wall_r : float or Array
        Resistance of the wall with its insulation [m2K/W].
    soil_w_per_mk : float or Array
        Heat conductivity of the ground [W/mK].

    Returns
    -------
    Array
        U-value, water to the ground's surface [W/m2K].

    Notes
    -----
    U = lambda/(d_w + 0.28 z (B/z)^0.26), d_w = lambda (R + 0.04). For B of 0.3 to 2.5 m, z of 0.5 to 1.6 m
    and R to 3 m2K/W, bottom and walls together are within 17 % of the numerical solution in nine cases of ten, and
    within 27 % in all.

    Source: fitted to a numerical solution (our own); d_w of ISO 13370:2017 section 7.4 (from memory).

    Examples
    --------
    Round, 1.2 m across, 0.6 m deep, 50 mm of foam, in clay (numerical solution: 1.46 W/m2K).

    >>> round(float(buried_wall_transmittance(0.6, 0.6, 0.5, 1.5)), 2)
    1.53
    """
    z = np.asarray(depth_m, dtype=float)
    path = WALL_PATH * z * (np.asarray(breadth_m) / z) ** WALL_POWER
    return np.asarray(soil_w_per_mk / (soil_w_per_mk * (np.asarray(wall_r) + R_OUTSIDE) + path))


def buried_floor_transmittance(breadth_m: Numbers, floor_r: Numbers, soil_w_per_mk: Numbers) -> Array:
    """Steady U-value of the bottom of a sunk tank. [W/m2K]

    Parameters
    ----------
    breadth_m : float or Array
        As for `buried_wall_transmittance` [m].
    floor_r : float or Array
        Resistance of the bottom with what lies beneath it [m2K/W].
    soil_w_per_mk : float or Array
        Heat conductivity of the ground [W/mK].

    Returns
    -------
    Array
        U-value, water to the ground's surface [W/m2K].

    Notes
    -----
    U = lambda/(d_t + 0.457 B), d_t = lambda (R + 0.04): the floor form of the standard for good insulation, without
    the half depth that it adds. Insulated walls leave the ground beside them cold, so that depth shields little.

    Source: ISO 13370:2017 sections 7.2 and 7.4 (from memory).

    Examples
    --------
    >>> round(float(buried_floor_transmittance(0.6, 0.5, 1.5)), 2)
    1.38
    """
    k = soil_w_per_mk
    return np.asarray(k / (k * (np.asarray(floor_r) + R_OUTSIDE) + FLOOR_PATH * np.asarray(breadth_m)))
