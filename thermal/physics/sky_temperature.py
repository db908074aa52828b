"""The sky as a longwave radiator: its emissivity from dew point and cloud, its temperature, and what it takes."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers
from thermal.physics.constants import STEFAN_BOLTZMANN, ZERO_C_K

SKY_BELOW_AIR_K = 11.0  # of a mean sky, temperate climate: ISO 13790:2008 section 11.4.6, ISO 52016-1 (from memory)
CLEAR_SKY_BELOW_AIR_K = (
    20.0  # of a clear sky in the cold: our judgement; Denver's typical year has 17 to 24 (two formulas)
)
CLOUD_EMISSIVITY = 0.8  # emissivity times exp(-base/8.2 km) of low thick cloud, base 1.8 km; Martin & Berdahl 1984


def clear_sky_emissivity(dew_point_c: Numbers) -> Array:
    """Emissivity of a cloudless sky, its mean over the whole of it. [-]

    Parameters
    ----------
    dew_point_c : float or Array
        Dew point near the ground [degC].

    Returns
    -------
    Array
        Emissivity [-].

    Notes
    -----
    0.711 + 0.56 (Td/100) + 0.73 (Td/100)^2, the mean of day and night.

    Source: Berdahl & Martin 1984, Emissivity of clear skies, Solar Energy 32(5):663-664.

    Examples
    --------
    >>> [round(float(clear_sky_emissivity(dew)), 3) for dew in (-20.0, 0.0, 10.0)]
    [0.628, 0.711, 0.774]
    """
    hundredth = np.asarray(dew_point_c, dtype=float) / 100.0
    return np.asarray(0.711 + 0.56 * hundredth + 0.73 * hundredth * hundredth)


def sky_emissivity(clear_sky: Numbers, cloud_share: Numbers) -> Array:
    """Emissivity of a sky that is partly covered. [-]

    Parameters
    ----------
    clear_sky : float or Array
        Emissivity of the cloudless sky [-].
    cloud_share : float or Array
        Share of the sky under cloud, 0 to 1 [-].

    Returns
    -------
    Array
        Emissivity, 1 at most [-].

    Notes
    -----
    e + (1 - e) 0.8 n: cloud closes the gap between a clear sky and a black one.

    Source: Martin & Berdahl 1984, Characteristics of infrared sky radiation in the United States, Solar Energy
    33(3/4):321-336, for low thick cloud (0.8 is exp(-1.8 km/8.2 km)).

    Examples
    --------
    >>> [round(float(sky_emissivity(0.7, share)), 2) for share in (0.0, 0.5, 1.0)]
    [0.7, 0.82, 0.94]
    """
    clear = np.asarray(clear_sky, dtype=float)
    return np.asarray(clear + (1.0 - clear) * CLOUD_EMISSIVITY * np.asarray(cloud_share))


def sky_temperature(infrared_w_per_m2: Numbers) -> Array:
    """Temperature of a black sky that sends down this much longwave. [degC]

    Parameters
    ----------
    infrared_w_per_m2 : float or Array
        Longwave from the whole sky on a horizontal surface [W/m2].

    Returns
    -------
    Array
        Temperature [degC].

    Notes
    -----
    (IR/sigma)^(1/4).

    Source: Stefan and Boltzmann's law.

    Examples
    --------
    >>> round(float(sky_temperature(181.0)), 1)
    -35.5
    """
    return np.asarray((np.asarray(infrared_w_per_m2, dtype=float) / STEFAN_BOLTZMANN) ** 0.25 - ZERO_C_K)


def infrared_from_sky(air_c: Numbers, emissivity: Numbers) -> Array:
    """Longwave that the sky sends to a horizontal surface. [W/m2]

    Parameters
    ----------
    air_c : float or Array
        Air temperature near the ground [degC].
    emissivity : float or Array
        Emissivity of the sky [-].

    Returns
    -------
    Array
        Longwave [W/m2].

    Notes
    -----
    e sigma Ta^4.

    Source: Stefan and Boltzmann's law with the definition of the emissivity in `clear_sky_emissivity`.

    Examples
    --------
    >>> round(float(infrared_from_sky(0.0, 1.0)), 1)
    315.7
    """
    kelvin = np.asarray(air_c, dtype=float) + ZERO_C_K
    return np.asarray(np.asarray(emissivity) * STEFAN_BOLTZMANN * kelvin**4)


def sky_loss(air_c: Numbers, sky_c: Numbers) -> Array:
    """Longwave that a black surface as warm as the air loses to a whole sky. [W/m2]

    Parameters
    ----------
    air_c : float or Array
        Air temperature [degC].
    sky_c : float or Array
        Temperature of the sky [degC].

    Returns
    -------
    Array
        Net loss, negative under a sky warmer than the air [W/m2].

    Notes
    -----
    sigma (Ta^4 - Ts^4).

    Source: Stefan and Boltzmann's law. ISO 13790 has 5 W/m2K times 11 K = 55 W/m2 for it, the ASHRAE Handbook of
    Fundamentals 2017, chapter 18, 63 W/m2 for a clear sky.

    Examples
    --------
    >>> [round(float(sky_loss(10.0, 10.0 - below)), 1) for below in (11.0, 20.0)]
    [53.4, 92.6]
    """
    return np.asarray(infrared_from_sky(air_c, 1.0) - infrared_from_sky(sky_c, 1.0))
