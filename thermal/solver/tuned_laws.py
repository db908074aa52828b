"""The laws of `thermal.physics` as the solver evaluates them: in single precision and in place.

Each is held to the plain law by `tests/solver/test_tuned_laws.py`. Results keep the precision of their array
arguments; the constants are arrays of shape () in single precision.
"""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers
from thermal.physics.evaporation import FORCED_FLOOR, FREE_CONVECTION, LEWIS_TWO_THIRDS
from thermal.physics.infiltration import STACK_COEFFICIENT, WIND_COEFFICIENT
from thermal.physics.moist_air import (
    CP_AIR,
    CP_VAPOUR_SLOPE,
    CP_WATER,
    GAS_CONSTANT_DRY_AIR,
    LOG_AT_FREEZING,
    STEFAN_BOLTZMANN,
    VAPOUR_RATIO,
    ZERO_C_K,
)
from thermal.physics.wall_resistance import R_INSIDE, R_MOULD

MOULD_RH = 0.80  # surface humidity above which mould grows in time, ISO 13788:2012


def constant(value: float) -> Array:
    """A number as an array of shape () in single precision: numpy takes it in half the time of a Python float."""
    return np.array(value, np.float32)


KELVIN, RATIO, DRY_AIR = constant(ZERO_C_K), constant(VAPOUR_RATIO), constant(VAPOUR_RATIO / GAS_CONSTANT_DRY_AIR)
BOLTON = constant(LOG_AT_FREEZING + 17.67), constant(-17.67 * 243.5), constant(243.5)
MAGNUS_ICE = constant(LOG_AT_FREEZING + 22.46), constant(-22.46 * 272.62), constant(272.62)
FREE, FORCED = constant(FREE_CONVECTION), constant(FORCED_FLOOR * VAPOUR_RATIO)
SENSIBLE = constant(CP_AIR * LEWIS_TWO_THIRDS)
LATENT_HEAT, TAP, WARMING = constant(2.5009e6), constant(CP_WATER), constant(CP_WATER - CP_VAPOUR_SLOPE)
SMALLEST = constant(1e-30)
THIRD, SIXTH = constant(1.0 / 3.0), constant(1.0 / 6.0)
NO_WATER_J_PER_K = 1e-6  # for a drained bed, so that nothing is divided by zero
STACK, WIND = STACK_COEFFICIENT[1], WIND_COEFFICIENT[1][2]  # one storey, shelter class 3


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


def leakage_flow(leakage_area_cm2: Array, temperature_difference_k: Array, wind_m_s: Array) -> Array:
    """`infiltration.leakage_flow` of one storey behind some shelter. [m3/s]"""
    flow: Array = leakage_area_cm2 / 1000.0 * np.sqrt(STACK * np.abs(temperature_difference_k) + WIND * wind_m_s**2)
    return flow


def freeze(water_c: Array, ice_j: Array, capacity_j_per_k: Array, limit_j: Array) -> tuple[Array, Array]:
    """Hold freezing water at 0 degC, in place: its deficit becomes ice, and ice melts before water warms.

    The enthalpy method split from the step (Voller & Cross 1981, Int. J. Heat Mass Transfer 24:545); energy is
    conserved exactly.

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
    water_c += given / np.maximum(capacity_j_per_k, NO_WATER_J_PER_K)
    return ice, given


def damp_hours(
    inside_c: Array, beyond_c: Array, ratio: Array, coldness: Array, pressure_pa: float
) -> tuple[Array, Array]:
    """Which hours run wet, and which are humid enough for mould; shape as `inside_c`.

    Condensation is judged behind the ordinary inside film, mould behind the still air of a corner.
    Source: ISO 13788:2012, R_si 0.25 m2K/W and 80 % at the surface for mould.
    """
    drop = inside_c - beyond_c
    vapour = ratio * pressure_pa / (VAPOUR_RATIO + ratio)
    wet = vapour > saturation_pressure(inside_c - coldness * drop)
    mouldy = vapour > MOULD_RH * saturation_pressure(inside_c - corner_coldness(coldness) * drop)
    return wet, mouldy


def corner_coldness(coldness: Array) -> Array:
    """The coldest surface's share of the temperature drop with the thicker film of a corner."""
    film = R_INSIDE["horizontal"]
    share = np.maximum(coldness, 1e-9)
    return np.asarray(R_MOULD / (film / share - film + R_MOULD) * np.greater(coldness, 0.0))
