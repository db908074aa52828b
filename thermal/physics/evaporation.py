"""Evaporation from an open water surface, and the convection that goes with it.

One mass-transfer coefficient carries vapour and, by the analogy of heat and mass transfer, sensible heat. It is
Shah's, because the pool formulas are fitted to water colder than its air and read 27-54 % low in a cold garage.
"""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers
from thermal.physics.constants import (
    CP_AIR,
    CP_VAPOUR_SLOPE,
    CP_WATER,
    LATENT_HEAT_0C,
    LEWIS_TWO_THIRDS,
    VAPOUR_RATIO,
)

FREE_CONVECTION = 35.0 / 3600.0  # Shah's K for still air [kg/s per m2 ...], Shah 2014, ASHRAE Trans. 120(2)
FORCED_FLOOR = 5.0e-5 / 3600.0  # kg/(s m2 Pa), air moved by ordinary ventilation, Shah 2014


def mass_transfer_coefficient(
    rho_water: Numbers, rho_room: Numbers, w_water: Numbers, w_room: Numbers, pressure_pa: Numbers
) -> Array:
    """Evaporation for each unit of humidity-ratio difference. [kg/(s m2)]

    Parameters
    ----------
    rho_water, rho_room : float or Array
        DRY-air density at the surface, saturated, and in the room [kg/m3].
    w_water, w_room : float or Array
        Humidity ratio at the surface, saturated, and in the room [kg/kg].
    pressure_pa : float or Array
        Air pressure [Pa].

    Returns
    -------
    Array
        Mass-transfer coefficient g; evaporation is g (w_water - w_room) [kg/(s m2)].

    Notes
    -----
    The larger of free convection, E = 35 rho_w (rho_r - rho_w)^(1/3) (W_w - W_r) kg/m2h, and of moved air,
    E = 5e-5 (p_w - p_r) kg/m2h. With p = W P/(eps + W) the second is eps P (W_w - W_r)/((eps + W_w)(eps + W_r)), so
    equal humidities divide nothing by zero. Indoor water without swimmers, in air moved by ordinary ventilation at
    most; measurements scatter about it by 18 %.

    Source: Shah 2014, ASHRAE Trans. 120(2) SE-14-001.

    Examples
    --------
    Shah's table prints 0.1463 kg/m2h for water and air of 29 degC at 50 %.

    >>> from thermal.physics.moist_air import dry_air_density, humidity_ratio, saturation_pressure
    >>> wet, room = (humidity_ratio(share * saturation_pressure(29.0)) for share in (1.0, 0.5))
    >>> densities = (dry_air_density(29.0, ratio, 101325.0) for ratio in (wet, room))
    >>> round(float(3600.0 * mass_transfer_coefficient(*densities, wet, room, 101325.0) * (wet - room)), 3)
    0.146
    """
    free = FREE_CONVECTION * rho_water * np.cbrt(np.maximum(np.subtract(rho_room, rho_water), 0.0))
    forced = FORCED_FLOOR * VAPOUR_RATIO * pressure_pa / (np.add(VAPOUR_RATIO, w_water) * np.add(VAPOUR_RATIO, w_room))
    return np.maximum(free, forced)


def convective_coefficient(mass_transfer: Numbers) -> Array:
    """Sensible heat-transfer coefficient that goes with a mass-transfer coefficient. [W/m2K]

    Parameters
    ----------
    mass_transfer : float or Array
        Mass-transfer coefficient g [kg/(s m2)].

    Returns
    -------
    Array
        Convective coefficient [W/m2K].

    Notes
    -----
    h_c = g cp Le^(2/3), the Chilton-Colburn analogy; vapour in air at ordinary temperatures.

    Source: Cengel, Heat and Mass Transfer, eq. 14-89.

    Examples
    --------
    >>> round(float(convective_coefficient(0.003)), 2)
    2.74
    """
    return np.asarray(mass_transfer) * (CP_AIR * LEWIS_TWO_THIRDS)


def mass_transfer_of_convection(convective: Numbers) -> Array:
    """Mass-transfer coefficient that goes with a convective coefficient. [kg/(s m2)]

    Parameters
    ----------
    convective : float or Array
        Convective coefficient [W/m2K].

    Returns
    -------
    Array
        Mass-transfer coefficient g [kg/(s m2)].

    Notes
    -----
    g = h_c/(cp Le^(2/3)), the inverse of `convective_coefficient`.

    Source: Cengel, Heat and Mass Transfer, eq. 14-89.

    Examples
    --------
    >>> round(float(mass_transfer_of_convection(2.5)), 5)
    0.00274
    """
    return np.asarray(convective) / (CP_AIR * LEWIS_TWO_THIRDS)


def replaced_vapour_enthalpy(water_c: Numbers, tap_c: Numbers) -> Array:
    """Heat that each kilogram of evaporation takes when tap water replaces it. [J/kg]

    Parameters
    ----------
    water_c : float or Array
        Water temperature [degC].
    tap_c : float or Array
        Temperature of the make-up water [degC].

    Returns
    -------
    Array
        Latent heat at the water's temperature plus warming the make-up water up to it [J/kg].

    Notes
    -----
    h = L(t) + cp_w (t - t_tap), with L of `moist_air.latent_heat`; 0 to 40 degC.

    Source: energy balance, no publication; L fitted to IAPWS-95.

    Examples
    --------
    >>> round(float(replaced_vapour_enthalpy(20.0, 10.0)) / 1000.0, 1)
    2495.4
    """
    water = np.asarray(water_c)
    return np.asarray(LATENT_HEAT_0C - CP_VAPOUR_SLOPE * water + CP_WATER * (water - np.asarray(tap_c)))
