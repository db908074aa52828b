"""Natural convection at a vertical wall: what its film of air passes.

Air properties are taken at one film temperature, so a caller may fix them once for each design: from 0 to 20 degC
the coefficient stays within 2 % of that at 10 degC.
"""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers
from thermal.physics.constants import GRAVITY, PRANDTL_AIR, SEA_LEVEL_PA, ZERO_C_K
from thermal.physics.moist_air import air_conductivity, air_kinematic_viscosity


def rayleigh_per_kelvin(height_m: Numbers, film_c: Numbers, pressure_pa: Numbers = SEA_LEVEL_PA) -> Array:
    """Rayleigh number of a plate for each kelvin between surface and air. [1/K]

    Parameters
    ----------
    height_m : float or Array
        Height of the plate [m].
    film_c : float or Array
        Mean of surface and air temperature [degC].
    pressure_pa : float or Array
        Air pressure [Pa].

    Returns
    -------
    Array
        Ra/dT [1/K].

    Notes
    -----
    Ra = g beta dT L^3/(nu alpha) with beta = 1/T_film and alpha = nu/Pr.

    Source: definition of the Rayleigh number.

    Examples
    --------
    ht 1.2.0 with CoolProp air: Ra 2.63e8 for 0.6 m between 15 and 5 degC.

    >>> f"{10.0 * float(rayleigh_per_kelvin(0.6, 10.0)):.2g}"
    '2.6e+08'
    """
    nu = air_kinematic_viscosity(film_c, pressure_pa)
    kelvin = np.asarray(film_c) + ZERO_C_K
    return GRAVITY * np.asarray(height_m) ** 3 * PRANDTL_AIR / (kelvin * nu * nu)


def vertical_plate_nusselt(ra: Numbers, pr: Numbers = PRANDTL_AIR) -> Array:
    """Mean Nusselt number of a vertical plate in still air. [-]

    Parameters
    ----------
    ra : float or Array
        Rayleigh number [-].
    pr : float or Array
        Prandtl number [-].

    Returns
    -------
    Array
        Nusselt number [-].

    Notes
    -----
    Nu = (0.825 + 0.387 Ra^(1/6)/(1 + (0.492/Pr)^(9/16))^(8/27))^2, for Ra up to 1e12, laminar and turbulent.

    Source: Churchill & Chu 1975, Int. J. Heat Mass Transfer 18:1323, doi:10.1016/0017-9310(75)90243-4 (Cengel
    eq. 9-21).

    Examples
    --------
    Cengel, Ex. 9-2: Nu 113.34 at Ra 7.649e8 and Pr 0.7202.

    >>> round(float(vertical_plate_nusselt(7.649e8, 0.7202)), 1)
    113.3
    """
    a, b = churchill_chu_terms(pr)
    return (a + b * np.asarray(ra) ** (1.0 / 6.0)) ** 2


def churchill_chu_terms(pr: Numbers = PRANDTL_AIR) -> tuple[float, Array]:
    """The two constants of the Nusselt number of a vertical plate. [-]

    Parameters
    ----------
    pr : float or Array
        Prandtl number [-].

    Returns
    -------
    a, b : float, Array
        Of Nu = (a + b Ra^(1/6))^2 [-].

    Notes
    -----
    a = 0.825, b = 0.387/(1 + (0.492/Pr)^(9/16))^(8/27).

    Source: Churchill & Chu 1975, Int. J. Heat Mass Transfer 18:1323, doi:10.1016/0017-9310(75)90243-4.

    Examples
    --------
    >>> a, b = churchill_chu_terms(0.71)
    >>> a, round(float(b), 3)
    (0.825, 0.324)
    """
    return 0.825, 0.387 / (1.0 + (0.492 / np.asarray(pr)) ** (9.0 / 16.0)) ** (8.0 / 27.0)


def vertical_film_terms(
    height_m: Numbers, film_c: Numbers = 10.0, pressure_pa: Numbers = SEA_LEVEL_PA
) -> tuple[Array, Array]:
    """Constants of the film coefficient of a vertical wall of one height. [(W/m2K)^(1/2)]

    Parameters
    ----------
    height_m : float or Array
        Height of the wall [m].
    film_c : float or Array
        Mean of surface and air temperature [degC].
    pressure_pa : float or Array
        Air pressure [Pa].

    Returns
    -------
    a, b : Array
        Of h_c = (a + b dT^(1/6))^2 [W/m2K], with dT = |surface - air| [K].

    Notes
    -----
    h_c = Nu k/L with Nu of `vertical_plate_nusselt`: a = 0.825 (k/L)^(1/2), b = b_Nu (k/L)^(1/2) (Ra/dT)^(1/6).

    Source: Churchill & Chu 1975, Int. J. Heat Mass Transfer 18:1323, doi:10.1016/0017-9310(75)90243-4.

    Examples
    --------
    >>> a, b = vertical_film_terms(0.6)
    >>> round(float(a), 3), round(float(b), 3)
    (0.169, 1.146)
    """
    a, b = churchill_chu_terms()
    scale = np.sqrt(air_conductivity(film_c) / np.asarray(height_m))
    return a * scale, b * scale * rayleigh_per_kelvin(height_m, film_c, pressure_pa) ** (1.0 / 6.0)


def vertical_film_coefficient(a: Numbers, b: Numbers, difference_k: Numbers) -> Array:
    """Convective coefficient of a vertical wall's film. [W/m2K]

    Parameters
    ----------
    a, b : float or Array
        As `vertical_film_terms` returns them.
    difference_k : float or Array
        Surface less air temperature, either sign [K].

    Returns
    -------
    Array
        Convective coefficient [W/m2K].

    Notes
    -----
    h_c = (a + b |dT|^(1/6))^2.

    Source: Churchill & Chu 1975, Int. J. Heat Mass Transfer 18:1323, doi:10.1016/0017-9310(75)90243-4.

    Examples
    --------
    ht 1.2.0 with CoolProp air: 3.419 W/m2K for 0.6 m between 15 and 5 degC; the film's fixed Prandtl number and
    fitted properties give 0.3 % more.

    >>> round(float(vertical_film_coefficient(*vertical_film_terms(0.6), 10.0)), 2)
    3.43
    """
    return (np.asarray(a) + b * np.abs(difference_k) ** (1.0 / 6.0)) ** 2
