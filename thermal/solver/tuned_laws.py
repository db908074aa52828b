"""The laws of `thermal.physics` as the solver evaluates them: in single precision and in place.

Each is held to the plain law by `tests/solver/test_tuned_laws.py`. Results keep the precision of their array
arguments; the constants are arrays of shape () in single precision.
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
    STEFAN_BOLTZMANN,
    VAPOUR_RATIO,
    ZERO_C_K,
)
from thermal.physics.evaporation import FORCED_FLOOR, FREE_CONVECTION
from thermal.physics.moist_air import PRESSURE_AT_FREEZING

LOG_AT_FREEZING = math.log(PRESSURE_AT_FREEZING)


def constant(value: float) -> Array:
    """A number as an array of shape () in single precision: numpy takes it in half the time of a Python float."""
    return np.array(value, np.float32)


KELVIN, RATIO, DRY_AIR = constant(ZERO_C_K), constant(VAPOUR_RATIO), constant(VAPOUR_RATIO / GAS_CONSTANT_DRY_AIR)
BOLTON = constant(LOG_AT_FREEZING + 17.67), constant(-17.67 * 243.5), constant(243.5)
MAGNUS_ICE = constant(LOG_AT_FREEZING + 22.46), constant(-22.46 * 272.62), constant(272.62)
FREE, FORCED = constant(FREE_CONVECTION), constant(FORCED_FLOOR * VAPOUR_RATIO)
SENSIBLE = constant(CP_AIR * LEWIS_TWO_THIRDS)
LATENT_HEAT, TAP, WARMING = constant(LATENT_HEAT_0C), constant(CP_WATER), constant(CP_WATER - CP_VAPOUR_SLOPE)
SMALLEST = constant(1e-30)
THIRD, SIXTH = constant(1.0 / 3.0), constant(1.0 / 6.0)


def root(x: Array, exponent: Array) -> Array:
    """`x ** exponent` of numbers that are not negative (negative ones count as zero), in single precision.

    numpy's cbrt takes 17 ns an element, single-precision exp and log together 5; a coefficient known to
    20 % does not miss the other nine digits.
    """
    power: Array = np.exp(exponent * np.log(np.maximum(x, SMALLEST).astype(np.float32, copy=False)))
    return power.astype(x.dtype, copy=False)


def saturation_pressure(temperature_c: Array) -> Array:
    """`moist_air.saturation_pressure`: the smaller of the two exponents is the stable phase's. [Pa]"""
    return np.exp(np.minimum(_exponent(temperature_c, *BOLTON), _exponent(temperature_c, *MAGNUS_ICE)))


def water_saturation_pressure(temperature_c: Array) -> Array:
    """`moist_air.water_saturation_pressure`. [Pa]"""
    return np.exp(_exponent(temperature_c, *BOLTON))


def _exponent(temperature_c: Array, limit: Array, slope: Array, shift: Array) -> Array:
    """Logarithm of a saturation pressure of the Magnus form: limit + slope/(t + shift)."""
    exponent: Array = limit + slope / (temperature_c + shift)
    return exponent


def humidity_ratio(vapour_pa: Array, pressure_pa: Numbers) -> Array:
    """`moist_air.humidity_ratio`. [kg/kg]"""
    ratio: Array = RATIO * vapour_pa / (pressure_pa - vapour_pa)
    return ratio


def dry_air_density(temperature_c: Array, ratio: Array, pressure_pa: Numbers) -> Array:
    """`moist_air.dry_air_density`. [kg/m3]"""
    density: Array = (DRY_AIR * pressure_pa) / ((temperature_c + KELVIN) * (RATIO + ratio))
    return density


def mass_transfer_coefficient(
    rho_water: Array, rho_room: Array, w_water: Array, w_room: Array, pressure_pa: Numbers
) -> Array:
    """`evaporation.mass_transfer_coefficient`. [kg/(s m2)]"""
    free = FREE * rho_water * root(rho_room - rho_water, THIRD)
    forced = (FORCED * pressure_pa) / ((RATIO + w_water) * (RATIO + w_room))
    larger: Array = np.maximum(free, forced)
    return larger


def convective_coefficient(mass_transfer: Array) -> Array:
    """`evaporation.convective_coefficient`. [W/m2K]"""
    coefficient: Array = mass_transfer * SENSIBLE
    return coefficient


def replaced_vapour_enthalpy(water_c: Array, tap_c: Array) -> Array:
    """`evaporation.replaced_vapour_enthalpy`. [J/kg]"""
    heat: Array = LATENT_HEAT + WARMING * water_c - TAP * tap_c
    return heat


def radiative_coefficient(mean_c: Array, emissivity: float) -> Array:
    """`natural_convection.radiative_coefficient`. [W/m2K]"""
    kelvin = mean_c + KELVIN
    coefficient: Array = (4.0 * STEFAN_BOLTZMANN * emissivity) * kelvin * kelvin * kelvin
    return coefficient
