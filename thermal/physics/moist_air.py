"""Properties of moist air and of water that the heat paths need.

All functions are pure and broadcast over arrays, whose precision they keep; SI units, temperatures in degC.
Vapour pressure is one exponential, cheap inside the hourly march, and within 0.15 % of IAPWS-95 from 0 to 40 degC.
"""

from __future__ import annotations

import math

import numpy as np

from thermal.core.arrays import Array, Numbers

ZERO_C_K = 273.15
STEFAN_BOLTZMANN = 5.670374419e-8  # W/m2K4, CODATA 2018
VAPOUR_RATIO = 0.621945  # molar mass of water over that of dry air; ASHRAE Fundamentals 2017 ch. 1
GAS_CONSTANT_DRY_AIR = 287.042  # J/kgK; ASHRAE Fundamentals 2017 ch. 1
SEA_LEVEL_PA = 101325.0
LOG_AT_FREEZING = math.log(611.2)  # of the saturation pressure at 0 degC in Pa, both formulas' first factor
CP_AIR = 1006.0  # J/kgK, dry air near 10 degC (CoolProp: 1005.9)
CP_WATER = 4190.0  # J/kgK, liquid near 12 degC (IAPWS-95: 4192)
CP_VAPOUR_SLOPE = 2370.0  # J/kgK, how fast the latent heat falls with temperature (see `latent_heat`)
RHO_WATER = 999.5  # kg/m3 near 12 degC (IAPWS-95)
FUSION_J_PER_KG = 333_550.0  # J/kg, melting of ice at 0 degC; CRC Handbook
PRANDTL_AIR = 0.71  # dry air, 0-25 degC (CoolProp: 0.707-0.711)


def constant(value: float) -> Array:
    """A number as an array without axes, in single precision: numpy takes it in half the time of a Python float.

    For what the march evaluates in every period; arrays keep their own precision beside it.
    """
    return np.array(value, np.float32)


KELVIN, RATIO, DRY_AIR = constant(ZERO_C_K), constant(VAPOUR_RATIO), constant(VAPOUR_RATIO / GAS_CONSTANT_DRY_AIR)
BOLTON = constant(LOG_AT_FREEZING + 17.67), constant(-17.67 * 243.5), constant(243.5)
MAGNUS_ICE = constant(LOG_AT_FREEZING + 22.46), constant(-22.46 * 272.62), constant(272.62)


def pressure_at(elevation_m: Numbers) -> Array:
    """Standard-atmosphere pressure at a height above sea level. [Pa]

    Source: ASHRAE Fundamentals 2017 ch. 1 eq. 3 (U.S. Standard Atmosphere).
    """
    return SEA_LEVEL_PA * (1.0 - 2.25577e-5 * np.asarray(elevation_m)) ** 5.2559


def saturation_pressure(temperature_c: Numbers) -> Array:
    """Saturation vapour pressure, over ice below 0 degC. [Pa]

    Both branches meet at 0 degC; the smaller of the two is the stable phase, so no branch is needed.
    Source: over water Bolton 1980, Mon. Weather Rev. 108:1046 eq. 10; over ice the Magnus form of WMO-No. 8 (2018)
    annex 4.B.
    """
    return np.exp(np.minimum(_exponent(temperature_c, *BOLTON), _exponent(temperature_c, *MAGNUS_ICE)))


def water_saturation_pressure(temperature_c: Numbers) -> Array:
    """Saturation vapour pressure over liquid water, also below 0 degC. [Pa]

    Weather stations report relative humidity against this one, whatever the temperature (WMO-No. 8, 4.A).
    """
    return np.exp(_exponent(temperature_c, *BOLTON))


def _exponent(temperature_c: Numbers, limit: Array, slope: Array, shift: Array) -> Array:
    """Logarithm of a saturation pressure of the Magnus form: limit + slope/(t + shift)."""
    exponent: Array = slope / (np.asarray(temperature_c) + shift)
    exponent += limit
    return exponent


def humidity_ratio(vapour_pa: Numbers, pressure_pa: Numbers = SEA_LEVEL_PA) -> Array:
    """Water vapour per dry air from its partial pressure. [kg/kg]

    Source: ASHRAE Fundamentals 2017 ch. 1 eq. 20.
    """
    p = np.asarray(vapour_pa)
    ratio: Array = RATIO * p
    ratio /= pressure_pa - p
    return ratio


def vapour_pressure(ratio: Numbers, pressure_pa: Numbers = SEA_LEVEL_PA) -> Array:
    """Partial pressure of the vapour in air of a humidity ratio (inverse of `humidity_ratio`). [Pa]"""
    w = np.asarray(ratio)
    return w * pressure_pa / (VAPOUR_RATIO + w)


def dry_air_density(temperature_c: Numbers, ratio: Numbers, pressure_pa: Numbers) -> Array:
    """Mass of DRY air in a cubic metre of moist air, from its humidity ratio [kg/kg]. [kg/m3]

    The gas law at the dry air's partial pressure p eps/(eps + W), from ASHRAE Fundamentals 2017 ch. 1 eq. 20.
    """
    kelvin = np.asarray(temperature_c) + KELVIN
    density: Array = (DRY_AIR * pressure_pa) / (kelvin * (RATIO + np.asarray(ratio)))
    return density


def latent_heat(temperature_c: Numbers) -> Array:
    """Heat of evaporation of water. [J/kg]

    Linear fit to IAPWS-95 between 0 and 40 degC, within 0.05 %.
    """
    return 2.5009e6 - CP_VAPOUR_SLOPE * np.asarray(temperature_c)


def air_conductivity(temperature_c: Numbers) -> Array:
    """Heat conductivity of dry air. [W/mK] Linear fit to CoolProp, -10 to 40 degC, within 0.2 %."""
    return 0.02437 + 7.52e-5 * np.asarray(temperature_c)


def air_kinematic_viscosity(temperature_c: Numbers, pressure_pa: Numbers = SEA_LEVEL_PA) -> Array:
    """Kinematic viscosity of dry air. [m2/s]

    Sutherland's law for the dynamic viscosity (White, Viscous Fluid Flow, 3rd ed., table 1-2) over the
    ideal-gas density; within 0.5 % of CoolProp between 0 and 40 degC.
    """
    kelvin = np.asarray(temperature_c) + ZERO_C_K
    dynamic = 1.716e-5 * (kelvin / 273.15) ** 1.5 * (273.15 + 110.4) / (kelvin + 110.4)
    return dynamic * GAS_CONSTANT_DRY_AIR * kelvin / pressure_pa
