"""Natural convection and longwave at solid surfaces: what a wall film passes.

Air properties are taken at one film temperature a call, so a caller may fix them once per design: between
0 and 20 degC the coefficient moves by less than 2 %.
"""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers
from thermal.physics.moist_air import (
    KELVIN,
    PRANDTL_AIR,
    SEA_LEVEL_PA,
    STEFAN_BOLTZMANN,
    ZERO_C_K,
    air_conductivity,
    air_kinematic_viscosity,
)

GRAVITY = 9.80665  # m/s2


def rayleigh_per_kelvin(height_m: Numbers, film_c: Numbers, pressure_pa: Numbers = SEA_LEVEL_PA) -> Array:
    """Rayleigh number of a plate for each kelvin between surface and air. [1/K]

    Ra = g beta dT L^3 / (nu alpha) with beta = 1/T_film and alpha = nu/Pr.
    """
    nu = air_kinematic_viscosity(film_c, pressure_pa)
    kelvin = np.asarray(film_c) + ZERO_C_K
    return GRAVITY * np.asarray(height_m) ** 3 * PRANDTL_AIR / (kelvin * nu * nu)


def vertical_plate_nusselt(ra: Numbers, pr: Numbers = PRANDTL_AIR) -> Array:
    """Mean Nusselt number of a vertical plate in still air.

    Source: Churchill & Chu 1975, Int. J. Heat Mass Transfer 18:1323, all-Rayleigh form (Cengel eq. 9-21).
    """
    root, slope = churchill_chu_terms(pr)
    return (root + slope * np.asarray(ra) ** (1.0 / 6.0)) ** 2


def churchill_chu_terms(pr: Numbers = PRANDTL_AIR) -> tuple[float, Array]:
    """The two constants a, b of Nu = (a + b Ra^(1/6))^2 for a vertical plate (Churchill & Chu 1975)."""
    return 0.825, 0.387 / (1.0 + (0.492 / np.asarray(pr)) ** (9.0 / 16.0)) ** (8.0 / 27.0)


def vertical_film_terms(
    height_m: Numbers, film_c: Numbers = 10.0, pressure_pa: Numbers = SEA_LEVEL_PA
) -> tuple[Array, Array]:
    """Constants a, b of h_c = (a + b dT^(1/6))^2 [W/m2K] for a plate of one height.

    Folding every constant of Churchill-Chu into two numbers leaves the march one root an hour.

    Returns
    -------
    a, b : ndarray, shape of `height_m`
        Square roots of a heat-transfer coefficient; dT is |surface - air| [K].
    """
    root, slope = churchill_chu_terms()
    scale = np.sqrt(air_conductivity(film_c) / np.asarray(height_m))
    return root * scale, slope * scale * rayleigh_per_kelvin(height_m, film_c, pressure_pa) ** (1.0 / 6.0)


def radiative_coefficient(mean_c: Numbers, emissivity: Numbers) -> Array:
    """Linearised longwave coefficient h_r = 4 eps sigma Tm^3. [W/m2K]

    mean_c is the mean of the two surfaces' temperatures. Source: ISO 6946:2017 annex C.
    """
    kelvin = np.asarray(mean_c) + KELVIN
    cube: Array = kelvin * kelvin
    cube *= kelvin
    cube *= (4.0 * STEFAN_BOLTZMANN) * emissivity
    return cube
