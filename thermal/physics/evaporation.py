"""The open water surface: evaporation, the convection that matches it, and what a lid leaves of both.

One mass-transfer coefficient carries vapour and, by the analogy of heat and mass transfer, sensible heat.
It is Shah's, because the pool formulas are fitted to water colder than its air and read 27-54 % low in a
cold garage.
"""

from __future__ import annotations

from functools import cache

import numpy as np

from thermal.core.arrays import Array, Numbers
from thermal.physics.moist_air import CP_AIR, CP_VAPOUR_SLOPE, CP_WATER, RATIO, VAPOUR_RATIO, constant

FREE_CONVECTION = 35.0 / 3600.0  # Shah's K for still air [kg/s per m2 ...], Shah 2014, ASHRAE Trans. 120(2)
FORCED_FLOOR = 5.0e-5 / 3600.0  # kg/(s m2 Pa), air moved by ordinary ventilation, Shah 2014
LEWIS_TWO_THIRDS = 0.908  # Le^(2/3) of vapour in air, Le = 0.866 (Cengel, Heat and Mass Transfer, table 14-4 range)

FREE, FORCED = constant(FREE_CONVECTION), constant(FORCED_FLOOR * VAPOUR_RATIO)
SENSIBLE = constant(CP_AIR * LEWIS_TWO_THIRDS)
LATENT_HEAT, TAP, WARMING = constant(2.5009e6), constant(CP_WATER), constant(CP_WATER - CP_VAPOUR_SLOPE)
SMALLEST = constant(1e-30)


@cache
def _share(degree: int) -> Array:
    return constant(1.0 / degree)


def root(x: Numbers, degree: int) -> Array:
    """Root of non-negative numbers (negative ones count as zero), worked out in single precision.

    numpy's cbrt takes 17 ns an element, single-precision exp and log together 5; a coefficient known to
    20 % does not miss the other nine digits.
    """
    given = np.asarray(x)
    single = np.maximum(given, SMALLEST).astype(np.float32, copy=False)
    exponent = np.log(single)
    exponent *= _share(degree)
    found: Array = np.exp(exponent)
    return found.astype(given.dtype, copy=False)


def mass_transfer_coefficient(
    rho_water: Numbers, rho_room: Numbers, w_water: Numbers, w_room: Numbers, pressure_pa: Numbers
) -> Array:
    """Evaporation for each unit of humidity-ratio difference. [kg/(s m2)]

    The larger of Shah's free-convection and forced form.

    rho_water, rho_room : DRY-air density at the surface (saturated) and in the room [kg/m3].
    w_water, w_room     : humidity ratio at the surface (saturated) and in the room [kg/kg].
    pressure_pa         : air pressure [Pa].
    Source: Shah 2014, ASHRAE Trans. 120(2) SE-14-001: E = 35 rho_w (rho_r - rho_w)^(1/3) (W_w - W_r) kg/m2h,
    at least 5e-5 (p_w - p_r).
    """
    free = root(np.subtract(rho_room, rho_water), 3)
    free *= rho_water
    free *= FREE
    # (p_w - p_r)/(W_w - W_r) without the 0/0 of equal humidities: p = W P/(eps + W).
    humid = np.add(RATIO, w_water)
    humid *= np.add(RATIO, w_room)
    slope = (FORCED * pressure_pa) / humid
    return np.maximum(free, slope)


def convective_coefficient(mass_transfer: Numbers) -> Array:
    """Sensible coefficient that belongs to a mass-transfer coefficient. [W/m2K]

    h_c = g cp Le^(2/3): the Chilton-Colburn analogy, Cengel, Heat and Mass Transfer, eq. 14-89.
    """
    return np.asarray(mass_transfer) * SENSIBLE


def replaced_vapour_enthalpy(water_c: Numbers, tap_c: Numbers) -> Array:
    """Heat each kilogram of evaporation takes when tap water replaces it. [J/kg]

    Latent heat at the water's temperature plus warming the make-up water up to it.
    """
    heat: Array = WARMING * np.asarray(water_c)
    heat += LATENT_HEAT - TAP * np.asarray(tap_c)
    return heat
