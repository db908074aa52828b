"""Heat loss of a pipe: natural convection and longwave round a horizontal cylinder, insulation, what the flow carries.

The film is worked out once, at one difference between water and air, so that the pipe is a conductance that never
changes: it passes 8 % less at half that difference, and 10 % more at twice it.
"""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers
from thermal.physics.constants import EMISSIVITY_WALL, PRANDTL_AIR
from thermal.physics.moist_air import air_conductivity
from thermal.physics.radiation import radiative_coefficient

DIFFERENCE_K = 10.0  # between water and air, at which the film is worked out; our choice, near a winter's mean
FILM_C = 10.0  # temperature of the air's properties and of the longwave, as for the walls of vessels
FIXED_POINT_STEPS = 12  # the film goes with the fourth root of the excess: each step leaves a fifth of the error


def cylinder_nusselt(ra: Numbers, pr: Numbers = PRANDTL_AIR) -> Array:
    """Mean Nusselt number of a long horizontal cylinder in still air. [-]

    Parameters
    ----------
    ra : float or Array
        Rayleigh number, with the diameter as length [-].
    pr : float or Array
        Prandtl number [-].

    Returns
    -------
    Array
        Nusselt number [-].

    Notes
    -----
    Nu = (0.60 + 0.387 Ra^(1/6)/(1 + (0.559/Pr)^(9/16))^(8/27))^2, for Ra from 1e-5 to 1e12.

    Source: Churchill & Chu 1975, Int. J. Heat Mass Transfer 18:1049, doi:10.1016/0017-9310(75)90222-7.

    Examples
    --------
    Incropera 6th ed., Ex. 9.2 (as ht 1.2.0 quotes it): Nu 139.13 at Ra 0.69 x 2.63e9 and Pr 0.69.

    >>> round(float(cylinder_nusselt(0.69 * 2.63e9, 0.69)), 2)
    139.13
    """
    b = 0.387 / (1.0 + (0.559 / np.asarray(pr)) ** (9.0 / 16.0)) ** (8.0 / 27.0)
    return (0.60 + b * np.asarray(ra) ** (1.0 / 6.0)) ** 2


def cylinder_film_coefficient(outer_m: Numbers, excess_k: Numbers, ra_per_k: Numbers) -> Array:
    """Convection and longwave together at the surface of a horizontal pipe near 10 degC. [W/m2K]

    Parameters
    ----------
    outer_m : float or Array
        Outside diameter [m].
    excess_k : float or Array
        Surface less air temperature, either sign [K].
    ra_per_k : float or Array
        Rayleigh number for each kelvin, of that diameter, from `natural_convection.rayleigh_per_kelvin` [1/K].

    Returns
    -------
    Array
        Coefficient [W/m2K].

    Notes
    -----
    h = Nu(|dT| Ra/dT) k/D + 4 eps sigma T^3, the surroundings as warm as the air.

    Source: Churchill & Chu 1975, Int. J. Heat Mass Transfer 18:1049; ISO 6946:2017 annex C.

    Examples
    --------
    ht 1.2.0 with CoolProp air: 4.58 W/m2K of convection for 40 mm between 15 and 5 degC; longwave 4.63.

    >>> round(float(cylinder_film_coefficient(0.04, 10.0, 7.87e3)), 1)
    9.2
    """
    convective: Array = cylinder_nusselt(np.abs(excess_k) * ra_per_k) * air_conductivity(FILM_C) / np.asarray(outer_m)
    return convective + radiative_coefficient(FILM_C, EMISSIVITY_WALL)


def cylindrical_resistance(inner_m: Numbers, thickness_m: Numbers, conductivity_w_per_mk: Numbers) -> Array:
    """Resistance of a layer round a pipe, for each metre of its length. [mK/W]

    Parameters
    ----------
    inner_m : float or Array
        Diameter inside the layer [m].
    thickness_m : float or Array
        Thickness of the layer [m].
    conductivity_w_per_mk : float or Array
        Heat conductivity [W/mK].

    Returns
    -------
    Array
        Resistance times length [mK/W].

    Notes
    -----
    R = ln(r2/r1)/(2 pi lambda).

    Source: ISO 12241:2008 eq. 5 (from memory).

    Examples
    --------
    ht 1.2.0 R_cylinder: 0.16 to 0.20 m of 0.05 W/mK, 10 m long, 0.0710 K/W.

    >>> round(float(cylindrical_resistance(0.16, 0.02, 0.05)) / 10.0, 4)
    0.071
    """
    ratio = 1.0 + 2.0 * np.asarray(thickness_m) / inner_m
    return np.log(ratio) / (2.0 * np.pi * np.asarray(conductivity_w_per_mk))


def pipe_transmittance(outer_m: Numbers, layers_r: Numbers, ra_per_k: Numbers) -> Array:
    """Conductance from a pipe's water to still air, for each metre of its length. [W/mK]

    Parameters
    ----------
    outer_m : float or Array
        Outside diameter, insulation included [m].
    layers_r : float or Array
        Sum of the `cylindrical_resistance` of all layers; 0 where bare [mK/W].
    ra_per_k : float or Array
        Rayleigh number for each kelvin, of that diameter, from `natural_convection.rayleigh_per_kelvin` [1/K].

    Returns
    -------
    Array
        Linear transmittance [W/mK].

    Notes
    -----
    1/U = R + 1/(h pi D), h at the excess that the surface has when the water is `DIFFERENCE_K` warmer than the air.
    The film inside and the pipe's own wall are left out, on the safe side: a plastic wall of 2 mm takes 10 % off.

    Source: ISO 12241:2008 section 4 (from memory).

    Examples
    --------
    >>> round(float(pipe_transmittance(0.04, 0.0, 7.87e3)), 2)
    1.16
    """
    surface_k = DIFFERENCE_K * np.ones_like(np.asarray(outer_m * np.asarray(layers_r)))
    for _ in range(FIXED_POINT_STEPS):
        film = cylinder_film_coefficient(outer_m, surface_k, ra_per_k) * np.pi * outer_m
        surface_k = DIFFERENCE_K / (1.0 + film * layers_r)
    film = cylinder_film_coefficient(outer_m, surface_k, ra_per_k) * np.pi * outer_m
    return film / (1.0 + film * layers_r)


def carried_conductance(ua_w_per_k: Numbers, flow_w_per_k: Numbers) -> Array:
    """Heat that water loses in a pipe for each kelvin between its inlet and the air. [W/K]

    Parameters
    ----------
    ua_w_per_k : float or Array
        Conductance of the whole pipe [W/K].
    flow_w_per_k : float or Array
        Heat capacity of the flow, not negative; 0 where the water stands [W/K].

    Returns
    -------
    Array
        Conductance [W/K].

    Notes
    -----
    G = C (1 - exp(-UA/C)): at most what the flow carries.

    Source: Cengel eq. 8-29, air of one temperature round a tube.

    Examples
    --------
    >>> [round(float(carried_conductance(12.0, flow)), 2) for flow in (0.0, 12.0, 1.2e4)]
    [0.0, 7.59, 11.99]
    """
    flow = np.maximum(np.asarray(flow_w_per_k), 1e-9)
    return np.asarray(-flow * np.expm1(-np.asarray(ua_w_per_k) / flow))
