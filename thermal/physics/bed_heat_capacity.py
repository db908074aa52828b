"""Heat capacity of water and of media beds."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers
from thermal.physics.constants import CP_WATER, RHO_WATER


def water_capacity(volume_m3: Numbers) -> Array:
    """Heat capacity of a volume of water; of a flow, its conductance. [J/K, or W/K for m3/s]

    Parameters
    ----------
    volume_m3 : float or Array
        Volume [m3], or volume flow [m3/s].

    Returns
    -------
    Array
        Heat capacity [J/K], or conductance [W/K].

    Notes
    -----
    V rho cp with 999.5 kg/m3 and 4190 J/kgK, near 12 degC.

    Source: IAPWS-95.

    Examples
    --------
    1,000 L by 1 K: 1.163 kWh.

    >>> round(float(water_capacity(1.0)) / 3.6e6, 3)
    1.163
    """
    return np.asarray(volume_m3) * RHO_WATER * CP_WATER


def bed_capacity(volume_m3: Numbers, solids_j_per_m3k: Numbers, water_share: Numbers) -> Array:
    """Heat capacity of a bed of media with water in it. [J/K]

    Parameters
    ----------
    volume_m3 : float or Array
        Volume of the bed [m3].
    solids_j_per_m3k : float or Array
        Heat capacity of the solids for each cubic metre of bed [J/m3K].
    water_share : float or Array
        Water for each volume of bed: the porosity when flooded, what is retained when drained [-].

    Returns
    -------
    Array
        Heat capacity [J/K].

    Notes
    -----
    V (C_solids + share rho cp).

    Source: volume-weighted mean of the heat capacities, no publication.

    Examples
    --------
    Granite gravel, (1 - 0.4) x 2650 kg/m3 x 800 J/kgK, flooded at 0.4: 2.95 MJ/m3K (inputs from memory).

    >>> round(float(bed_capacity(1.0, 0.6 * 2650.0 * 800.0, 0.4)) / 1e6, 2)
    2.95
    """
    return np.asarray(volume_m3) * (np.asarray(solids_j_per_m3k) + water_share * (RHO_WATER * CP_WATER))


def running_water_share(porosity: Numbers, drained_share: Numbers) -> Array:
    """Water in a bed while the pump runs, the mean of full and drained. [-]

    Parameters
    ----------
    porosity : float or Array
        Water for each volume of bed when flooded [-].
    drained_share : float or Array
        The same when drained; the porosity for a bed that never drains [-].

    Returns
    -------
    Array
        Water for each volume of bed [-].

    Notes
    -----
    (full + drained)/2: flood and drain takes minutes, a step an hour.

    Source: our judgement, no source.

    Examples
    --------
    >>> float(running_water_share(0.4, 0.1))
    0.25
    """
    return 0.5 * (np.asarray(porosity) + drained_share)
