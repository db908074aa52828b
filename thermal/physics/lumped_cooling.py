"""Water as one lump: what it loses while held steady, and how it cools when it is not."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers


def steady_conductance(watts: Numbers, water_c: Numbers, air_c: Numbers) -> Array:
    """What all the water loses for each kelvin, from watts that hold it steady, a pump's or a heater's. [W/K]

    Parameters
    ----------
    watts : float or Array
        Heat that holds the water [W].
    water_c, air_c : float or Array
        Temperature of water and air [degC], not equal.

    Returns
    -------
    Array
        Conductance [W/K].

    Notes
    -----
    UA = P/(t_water - t_air).

    Source: steady energy balance.

    Examples
    --------
    The insulated tank of 1 m3 (physicsforums thread 465234): 189 W at 90 degC in air of 10 degC, UA 2.362 W/K.

    >>> round(float(steady_conductance(188.976, 90.0, 10.0)), 3)
    2.362
    """
    return np.divide(watts, np.subtract(water_c, air_c))


def time_constant(hours: Numbers, before_c: Numbers, after_c: Numbers, air_c: Numbers) -> Array:
    """Hours in which the water's distance from the air falls to 37 %, from one cool-down without heat. [h]

    Parameters
    ----------
    hours : float or Array
        Length of the cool-down [h].
    before_c, after_c : float or Array
        Water temperature at its beginning and end, both on one side of the air's [degC].
    air_c : float or Array
        Air temperature [degC].

    Returns
    -------
    Array
        Time constant [h].

    Notes
    -----
    tau = t/ln((T_0 - T_air)/(T - T_air)).

    Source: lumped cooling, Cengel, Heat and Mass Transfer, eq. 4-4.

    Examples
    --------
    A thermocouple of 70 degC in 300 degC that reads 200 degC after 3 s (Scilab-TBC 1436, Ex. 8.4): 3.6 s.

    >>> round(float(time_constant(3.0, 70.0, 200.0, 300.0)), 1)
    3.6
    """
    return hours / np.log(np.subtract(before_c, air_c) / np.subtract(after_c, air_c))


def cooled_temperature(before_c: Numbers, air_c: Numbers, hours: Numbers, time_constant_h: Numbers) -> Array:
    """Water temperature after some hours without heat. [degC]

    Parameters
    ----------
    before_c : float or Array
        Water temperature at the beginning [degC].
    air_c : float or Array
        Air temperature, steady [degC].
    hours : float or Array
        Time [h].
    time_constant_h : float or Array
        Heat capacity over conductance [h].

    Returns
    -------
    Array
        Water temperature [degC].

    Notes
    -----
    T = T_air + (T_0 - T_air) exp(-t/tau).

    Source: lumped cooling, Cengel, Heat and Mass Transfer, eq. 4-4.

    Examples
    --------
    The insulated tank of 1 m3 (physicsforums thread 465234): 86.191 degC after 24 h.

    >>> round(float(cooled_temperature(90.0, 10.0, 24.0, 4_184_000.0 / 2.3622 / 3600.0)), 2)
    86.19
    """
    return air_c + np.subtract(before_c, air_c) * np.exp(-np.divide(hours, time_constant_h))
