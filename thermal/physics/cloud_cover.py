"""Sun on the ground from cloud cover, and cloud cover from the sun on the ground."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers

OKTAS = 8.0  # eighths of the sky
DIMMING, POWER = 0.75, 3.4


def sun_through_cloud(cloud_okta: Numbers) -> Array:
    """Share of the clear sky's sun on the ground that cloud lets through. [-]

    Parameters
    ----------
    cloud_okta : float or Array
        Cloud cover, 0 to 8 eighths of the sky [okta].

    Returns
    -------
    Array
        Share of the global radiation of a cloudless sky, 0.25 to 1 [-].

    Notes
    -----
    1 - 0.75 (N/8)^3.4. Single hours scatter widely about it, months by about a tenth.

    Source: Kasten & Czeplak 1980, Solar and terrestrial radiation dependent on the amount and type of cloud, Solar
    Energy 24(2):177-189.

    Examples
    --------
    >>> [round(float(sun_through_cloud(okta)), 2) for okta in (0.0, 4.0, 8.0)]
    [1.0, 0.93, 0.25]
    """
    return np.asarray(1.0 - DIMMING * (np.asarray(cloud_okta, dtype=float) / OKTAS) ** POWER)


def cloud_from_sun(clear_sky_share: Numbers) -> Array:
    """Share of the sky under cloud, from the sun that reaches the ground. [-]

    Parameters
    ----------
    clear_sky_share : float or Array
        Global radiation over that of a cloudless sky, of a whole day rather than of an hour [-].

    Returns
    -------
    Array
        Cloud cover, 0 to 1 [-].

    Notes
    -----
    1.5 (1 - share), held within 0 and 1: the sun shines for a share n of the day, and lets 1/3 + 2/3 n of the cloudless
    sky's sun through; cloud is 1 - n.

    Source: Angstrom's formula with 0.25 and 0.50, FAO Irrigation and Drainage Paper 56 (1998), eq. 35
    and 36.

    Examples
    --------
    >>> [round(float(cloud_from_sun(share)), 2) for share in (1.1, 2.0 / 3.0, 0.25)]
    [0.0, 0.5, 1.0]
    """
    return np.clip(1.5 * (1.0 - np.asarray(clear_sky_share, dtype=float)), 0.0, 1.0)
