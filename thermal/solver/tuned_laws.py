"""The laws that the solver evaluates most often, written for speed: same equations as in `thermal.physics`.

Constants are arrays without axes in single precision, roots come from a logarithm, sums are taken in place. Sources
and validity stand with the plain forms of the same names.
"""

from __future__ import annotations

import math
from functools import cache

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
from thermal.physics.moist_air import PRESSURE_AT_FREEZING


def constant(value: float) -> Array:
    """A number as an array without axes, in single precision: numpy takes it in half the time of a Python float.

    For what the march evaluates in every period; arrays keep their own precision beside it.
    """
    return np.array(value, np.float32)


LOG_AT_FREEZING = math.log(PRESSURE_AT_FREEZING)
KELVIN, RATIO, DRY_AIR = constant(ZERO_C_K), constant(VAPOUR_RATIO), constant(VAPOUR_RATIO / GAS_CONSTANT_DRY_AIR)
BOLTON = constant(LOG_AT_FREEZING + 17.67), constant(-17.67 * 243.5), constant(243.5)
MAGNUS_ICE = constant(LOG_AT_FREEZING + 22.46), constant(-22.46 * 272.62), constant(272.62)
FREE, FORCED = constant(FREE_CONVECTION), constant(FORCED_FLOOR * VAPOUR_RATIO)
SENSIBLE = constant(CP_AIR * LEWIS_TWO_THIRDS)
LATENT_HEAT, TAP, WARMING = constant(LATENT_HEAT_0C), constant(CP_WATER), constant(CP_WATER - CP_VAPOUR_SLOPE)
SMALLEST = constant(1e-30)


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
    """Mass of DRY air in a cubic metre of moist air, from its humidity ratio [kg/kg]. [kg/m3]"""
    kelvin = np.asarray(temperature_c) + KELVIN
    density: Array = (DRY_AIR * pressure_pa) / (kelvin * (RATIO + np.asarray(ratio)))
    return density


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
    """Evaporation for each unit of humidity-ratio difference, from dry-air densities. [kg/(s m2)]"""
    free = root(np.subtract(rho_room, rho_water), 3)
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
