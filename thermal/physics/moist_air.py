"""Properties of moist air and of water that the heat paths need; temperatures in degC, everything else SI."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers
from thermal.physics.constants import (
    CP_VAPOUR_SLOPE,
    GAS_CONSTANT_DRY_AIR,
    LATENT_HEAT_0C,
    SEA_LEVEL_PA,
    VAPOUR_RATIO,
    ZERO_C_K,
)

PRESSURE_AT_FREEZING = 611.2  # Pa, saturation pressure at 0 degC, the first factor of both formulas


def pressure_at(elevation_m: Numbers) -> Array:
    """Air pressure of the standard atmosphere at a height above sea level. [Pa]

    Parameters
    ----------
    elevation_m : float or Array
        Height above sea level [m].

    Returns
    -------
    Array
        Pressure [Pa].

    Notes
    -----
    p = 101325 (1 - 2.25577e-5 z)^5.2559, valid from -5,000 to 11,000 m.

    Source: ASHRAE Fundamentals 2017 ch. 1 eq. 3 (U.S. Standard Atmosphere).

    Examples
    --------
    PsychroLib 2.5.0 has 89.875 kPa at 1,000 m.

    >>> round(float(pressure_at(1000.0)) / 1000.0, 2)
    89.87
    """
    return SEA_LEVEL_PA * (1.0 - 2.25577e-5 * np.asarray(elevation_m)) ** 5.2559


def saturation_pressure(temperature_c: Numbers) -> Array:
    """Saturation vapour pressure, over ice below 0 degC. [Pa]

    Parameters
    ----------
    temperature_c : float or Array
        Temperature [degC].

    Returns
    -------
    Array
        Pressure [Pa].

    Notes
    -----
    Over water p = 611.2 exp(17.67 t/(t + 243.5)), over ice p = 611.2 exp(22.46 t/(t + 272.62)). Both meet at 0 degC,
    and the stable phase has the lower pressure, so the smaller of the two is the answer. Within 0.15 % of IAPWS-95
    from 0 to 40 degC.

    Source: over water Bolton 1980, Mon. Weather Rev. 108:1046 eq. 10,
    doi:10.1175/1520-0493(1980)108<1046:TCOEPT>2.0.CO;2; over ice the Magnus form of WMO-No. 8 (2018) annex 4.B.

    Examples
    --------
    IAPWS-95 has 1,228.2 Pa at 10 degC.

    >>> round(float(saturation_pressure(10.0)) / 1228.2, 3)
    0.999
    """
    t = np.asarray(temperature_c)
    over_water = 17.67 * t / (t + 243.5)
    over_ice = 22.46 * t / (t + 272.62)
    return PRESSURE_AT_FREEZING * np.exp(np.minimum(over_water, over_ice))


def water_saturation_pressure(temperature_c: Numbers) -> Array:
    """Saturation vapour pressure over liquid water, also below 0 degC. [Pa]

    Parameters
    ----------
    temperature_c : float or Array
        Temperature [degC].

    Returns
    -------
    Array
        Pressure [Pa].

    Notes
    -----
    p = 611.2 exp(17.67 t/(t + 243.5)), within 0.15 % of IAPWS-95 from 0 to 40 degC. Weather stations report relative
    humidity against this pressure at any temperature (WMO-No. 8, 4.A).

    Source: Bolton 1980, Mon. Weather Rev. 108:1046 eq. 10, doi:10.1175/1520-0493(1980)108<1046:TCOEPT>2.0.CO;2.

    Examples
    --------
    IAPWS-95 has 2,339.2 Pa at 20 degC.

    >>> round(float(water_saturation_pressure(20.0)) / 2339.2, 3)
    0.999
    """
    t = np.asarray(temperature_c)
    return PRESSURE_AT_FREEZING * np.exp(17.67 * t / (t + 243.5))


def dew_point(vapour_pa: Numbers) -> Array:
    """Temperature at which vapour begins to condense to water. [degC]

    Parameters
    ----------
    vapour_pa : float or Array
        Vapour pressure, above zero [Pa].

    Returns
    -------
    Array
        Dew point [degC].

    Notes
    -----
    t = 243.5 x/(17.67 - x), x = ln(p/611.2): `water_saturation_pressure` turned round.

    Source: Bolton 1980, Mon. Weather Rev. 108:1046 eq. 11, doi:10.1175/1520-0493(1980)108<1046:TCOEPT>2.0.CO;2.

    Examples
    --------
    >>> round(float(dew_point(water_saturation_pressure(-7.0))), 6)
    -7.0
    """
    logarithm = np.log(np.asarray(vapour_pa) / PRESSURE_AT_FREEZING)
    return np.asarray(243.5 * logarithm / (17.67 - logarithm))


def humidity_ratio(vapour_pa: Numbers, pressure_pa: Numbers = SEA_LEVEL_PA) -> Array:
    """Water vapour per dry air from its partial pressure. [kg/kg]

    Parameters
    ----------
    vapour_pa : float or Array
        Partial pressure of the vapour [Pa], below `pressure_pa`.
    pressure_pa : float or Array
        Air pressure [Pa].

    Returns
    -------
    Array
        Humidity ratio [kg/kg].

    Notes
    -----
    W = 0.621945 p_v/(p - p_v): both are ideal gases.

    Source: ASHRAE Fundamentals 2017 ch. 1 eq. 20.

    Examples
    --------
    PsychroLib 2.5.0 has 0.007262 kg/kg at 20 degC and 50 %.

    >>> round(float(humidity_ratio(0.5 * saturation_pressure(20.0))), 5)
    0.00726
    """
    p = np.asarray(vapour_pa)
    return VAPOUR_RATIO * p / (pressure_pa - p)


def vapour_pressure(ratio: Numbers, pressure_pa: Numbers = SEA_LEVEL_PA) -> Array:
    """Partial pressure of the vapour in air of a humidity ratio. [Pa]

    Parameters
    ----------
    ratio : float or Array
        Humidity ratio [kg/kg].
    pressure_pa : float or Array
        Air pressure [Pa].

    Returns
    -------
    Array
        Partial pressure [Pa].

    Notes
    -----
    p_v = W p/(0.621945 + W), the inverse of `humidity_ratio`.

    Source: ASHRAE Fundamentals 2017 ch. 1 eq. 20, solved for the vapour's pressure.

    Examples
    --------
    >>> round(float(vapour_pressure(humidity_ratio(1200.0))), 6)
    1200.0
    """
    w = np.asarray(ratio)
    return w * pressure_pa / (VAPOUR_RATIO + w)


def dry_air_density(temperature_c: Numbers, ratio: Numbers, pressure_pa: Numbers) -> Array:
    """Mass of DRY air in a cubic metre of moist air. [kg/m3]

    Parameters
    ----------
    temperature_c : float or Array
        Air temperature [degC].
    ratio : float or Array
        Humidity ratio [kg/kg].
    pressure_pa : float or Array
        Air pressure [Pa].

    Returns
    -------
    Array
        Density of the dry air [kg/m3].

    Notes
    -----
    rho = p_d/(R T) with the dry air's partial pressure p_d = p 0.621945/(0.621945 + W).

    Source: ASHRAE Fundamentals 2017 ch. 1 eq. 20 with the ideal gas law.

    Examples
    --------
    Dry air of 20 degC at sea level has 1.204 kg/m3.

    >>> round(float(dry_air_density(20.0, 0.0, 101325.0)), 3)
    1.204
    """
    w = np.asarray(ratio)
    dry_pa = pressure_pa * VAPOUR_RATIO / (VAPOUR_RATIO + w)
    return dry_pa / (GAS_CONSTANT_DRY_AIR * (np.asarray(temperature_c) + ZERO_C_K))


def latent_heat(temperature_c: Numbers) -> Array:
    """Heat of evaporation of water. [J/kg]

    Parameters
    ----------
    temperature_c : float or Array
        Water temperature [degC].

    Returns
    -------
    Array
        Heat of evaporation [J/kg].

    Notes
    -----
    L = 2.5009e6 - 2370 t, a linear fit within 0.05 % of IAPWS-95 from 0 to 40 degC.

    Source: fit to IAPWS-95 by CoolProp 8.0.0.

    Examples
    --------
    IAPWS-95 has 2,453.5 kJ/kg at 20 degC.

    >>> round(float(latent_heat(20.0)) / 1000.0, 1)
    2453.5
    """
    return LATENT_HEAT_0C - CP_VAPOUR_SLOPE * np.asarray(temperature_c)


def air_conductivity(temperature_c: Numbers) -> Array:
    """Heat conductivity of dry air. [W/mK]

    Parameters
    ----------
    temperature_c : float or Array
        Air temperature [degC].

    Returns
    -------
    Array
        Conductivity [W/mK].

    Notes
    -----
    k = 0.02437 + 7.52e-5 t, a linear fit within 0.2 % from -10 to 40 degC.

    Source: fit to CoolProp 8.0.0.

    Examples
    --------
    >>> round(float(air_conductivity(10.0)), 5)
    0.02512
    """
    return 0.02437 + 7.52e-5 * np.asarray(temperature_c)


def air_kinematic_viscosity(temperature_c: Numbers, pressure_pa: Numbers = SEA_LEVEL_PA) -> Array:
    """Kinematic viscosity of dry air. [m2/s]

    Parameters
    ----------
    temperature_c : float or Array
        Air temperature [degC].
    pressure_pa : float or Array
        Air pressure [Pa].

    Returns
    -------
    Array
        Kinematic viscosity [m2/s].

    Notes
    -----
    Sutherland's law mu = 1.716e-5 (T/273.15)^1.5 (273.15 + 110.4)/(T + 110.4) over the ideal-gas density; within
    0.5 % of CoolProp from 0 to 40 degC.

    Source: White, Viscous Fluid Flow, 3rd ed., table 1-2.

    Examples
    --------
    >>> f"{float(air_kinematic_viscosity(10.0)):.3g}"
    '1.42e-05'
    """
    kelvin = np.asarray(temperature_c) + ZERO_C_K
    dynamic = 1.716e-5 * (kelvin / 273.15) ** 1.5 * (273.15 + 110.4) / (kelvin + 110.4)
    return dynamic * GAS_CONSTANT_DRY_AIR * kelvin / pressure_pa
