"""The laws that the solver evaluates at every update, written for speed: the equations of `thermal.physics`, in place.

That saves 2,048 designs and 300 columns about 5 %: fresh memory for every product is what costs. Constants are arrays
without axes in single precision, which numpy takes in half the time of a Python float.
`tests/solver/test_tuned_laws.py` holds each law to its plain form of the same name, where equation, source and
validity stand.
"""

from __future__ import annotations

import math

import numpy as np

from thermal.core.arrays import Array, Numbers
from thermal.physics.constants import (
    CP_AIR,
    CP_VAPOUR_SLOPE,
    CP_WATER,
    GAS_CONSTANT_DRY_AIR,
    LATENT_HEAT_0C,
    LEWIS_TWO_THIRDS,
    SEA_LEVEL_PA,
    STEFAN_BOLTZMANN,
    VAPOUR_RATIO,
    ZERO_C_K,
)
from thermal.physics.evaporation import FORCED_FLOOR, FREE_CONVECTION
from thermal.physics.freezing import LEAST_CAPACITY_J_PER_K
from thermal.physics.moist_air import PRESSURE_AT_FREEZING


def constant(value: float) -> Array:
    """A number as an array without axes, in single precision; beside it arrays keep their own."""
    return np.array(value, np.float32)


LOG_AT_FREEZING = math.log(PRESSURE_AT_FREEZING)
KELVIN, RATIO, DRY_AIR = constant(ZERO_C_K), constant(VAPOUR_RATIO), constant(VAPOUR_RATIO / GAS_CONSTANT_DRY_AIR)
BOLTON = constant(LOG_AT_FREEZING + 17.67), constant(-17.67 * 243.5), constant(243.5)
MAGNUS_ICE = constant(LOG_AT_FREEZING + 22.46), constant(-22.46 * 272.62), constant(272.62)
FREE, FORCED = constant(FREE_CONVECTION), constant(FORCED_FLOOR * VAPOUR_RATIO)
SENSIBLE = constant(CP_AIR * LEWIS_TWO_THIRDS)
LATENT_HEAT, TAP, WARMING = constant(LATENT_HEAT_0C), constant(CP_WATER), constant(CP_WATER - CP_VAPOUR_SLOPE)


def saturation_pressure(temperature_c: Numbers) -> Array:
    """Saturation vapour pressure, over ice below 0 degC. [Pa]

    Both branches meet at 0 degC; the smaller of the two is the stable phase, so no branch is needed.
    """
    return np.exp(np.minimum(_exponent(temperature_c, *BOLTON), _exponent(temperature_c, *MAGNUS_ICE)))


def water_saturation_pressure(temperature_c: Numbers) -> Array:
    """Saturation vapour pressure over liquid water, also below 0 degC. [Pa]"""
    return np.exp(_exponent(temperature_c, *BOLTON))


def _exponent(temperature_c: Numbers, limit: Array, slope: Array, shift: Array) -> Array:
    """Logarithm of a saturation pressure of the Magnus form: limit + slope/(t + shift)."""
    exponent: Array = slope / (np.asarray(temperature_c) + shift)
    exponent += limit
    return exponent


def humidity_ratio(vapour_pa: Numbers, pressure_pa: Numbers = SEA_LEVEL_PA) -> Array:
    """Water vapour per dry air from its partial pressure. [kg/kg]"""
    p = np.asarray(vapour_pa)
    ratio: Array = RATIO * p
    ratio /= pressure_pa - p
    return ratio


def dry_air_density(temperature_c: Numbers, ratio: Numbers, pressure_pa: Numbers) -> Array:
    """Mass of DRY air in a cubic metre of moist air, from its humidity ratio [kg/kg]. [kg/m3]

    Parameters
    ----------
    temperature_c : float or Array
        Air temperature [degC].
    ratio : float or Array
        Humidity ratio [kg/kg].
    pressure_pa : float or Array
        Air pressure [Pa].
    """
    kelvin = np.asarray(temperature_c) + KELVIN
    density: Array = (DRY_AIR * pressure_pa) / (kelvin * (RATIO + np.asarray(ratio)))
    return density


def mass_transfer_coefficient(
    rho_water: Numbers, rho_room: Numbers, w_water: Numbers, w_room: Numbers, pressure_pa: Numbers
) -> Array:
    """Evaporation for each unit of humidity-ratio difference, from dry-air densities. [kg/(s m2)]

    Parameters
    ----------
    rho_water : float or Array
        Density of dry air at the water, saturated [kg/m3].
    rho_room : float or Array
        The same in the room [kg/m3].
    w_water : float or Array
        Humidity ratio at the water, saturated [kg/kg].
    w_room : float or Array
        The same in the room [kg/kg].
    pressure_pa : float or Array
        Air pressure [Pa].
    """
    free = np.cbrt(np.maximum(np.subtract(rho_room, rho_water), 0.0))
    free *= rho_water
    free *= FREE
    # (p_w - p_r)/(W_w - W_r) without the 0/0 of equal humidities: p = W P/(eps + W).
    humid = np.add(RATIO, w_water)
    humid *= np.add(RATIO, w_room)
    slope = (FORCED * pressure_pa) / humid
    return np.maximum(free, slope)


def convective_coefficient(mass_transfer: Numbers) -> Array:
    """Sensible coefficient that belongs to a mass-transfer coefficient. [W/m2K]"""
    return np.asarray(mass_transfer) * SENSIBLE


def replaced_vapour_enthalpy(water_c: Numbers, tap_c: Numbers) -> Array:
    """Heat each kilogram of evaporation takes when tap water replaces it. [J/kg]"""
    heat: Array = WARMING * np.asarray(water_c)
    heat += LATENT_HEAT - TAP * np.asarray(tap_c)
    return heat


def radiative_coefficient(mean_c: Numbers, emissivity: Numbers) -> Array:
    """Linearised longwave coefficient at the mean of the two surfaces' temperatures. [W/m2K]"""
    kelvin = np.asarray(mean_c) + KELVIN
    cube: Array = kelvin * kelvin
    cube *= kelvin
    cube *= (4.0 * STEFAN_BOLTZMANN) * emissivity
    return cube


def freeze(water_c: Array, ice_j: Array, capacity_j_per_k: Array, limit_j: Array) -> tuple[Array, Array]:
    """`freezing.water_and_ice` with the water held at 0 degC in place.

    Fewer passes over memory: 20 us an hour at 900 columns, 32 before.

    Parameters
    ----------
    water_c : Array, shape (water node, column)
        As the step left it, below 0 degC where it should freeze; overwritten.
    ice_j : Array, shape (water node, column)
        Latent heat given up so far.
    capacity_j_per_k, limit_j : Array, shape (water node, column)
        The water's heat capacity, and the latent heat of all of it.

    Returns
    -------
    ice_j, given_j : Array, shape (water node, column)
        The ice now, and what freezing gave.
    """
    given = capacity_j_per_k * water_c
    ice = ice_j - given
    np.maximum(ice, 0.0, out=ice)
    np.minimum(ice, limit_j, out=ice)
    np.subtract(ice, ice_j, given)
    water_c += given / np.maximum(capacity_j_per_k, LEAST_CAPACITY_J_PER_K)
    return ice, given
