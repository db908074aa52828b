"""Air change: how much outside air a room takes in, and the heat that costs."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers

# Stack and wind coefficients of the basic model, ASHRAE Fundamentals 2005 ch. 27 tables 6, 7 (from memory).
STACK_COEFFICIENT = {1: 0.000145, 2: 0.000290, 3: 0.000435}
WIND_COEFFICIENT = {
    1: (0.000319, 0.000246, 0.000174, 0.000104, 0.000032),
    2: (0.000420, 0.000325, 0.000231, 0.000137, 0.000042),
    3: (0.000494, 0.000382, 0.000271, 0.000161, 0.000049),
}


def air_change_flow(air_changes_per_h: Numbers, volume_m3: Numbers) -> Array:
    """Volume flow of outside air from an air-change rate. [m3/s]"""
    return np.asarray(air_changes_per_h, dtype=float) * volume_m3 / 3600.0


def leakage_flow(
    leakage_area_cm2: Numbers,
    temperature_difference_k: Numbers,
    wind_m_s: Numbers,
    stories: int = 1,
    shelter_class: int = 3,
) -> Array:
    """Volume flow of outside air through cracks, from stack and wind. [m3/s]

    Q = A_L/1000 sqrt(C_s dT + C_w v^2), A_L the effective leakage area at 4 Pa [cm2].
    Source: Sherman & Grimsrud 1980, as in ASHRAE Fundamentals 2005 ch. 27 eq. 40.
    """
    stack = STACK_COEFFICIENT[stories] * np.abs(temperature_difference_k)
    wind = WIND_COEFFICIENT[stories][shelter_class - 1] * np.square(wind_m_s)
    return np.asarray(leakage_area_cm2) / 1000.0 * np.sqrt(stack + wind)
