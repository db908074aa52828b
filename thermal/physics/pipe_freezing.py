"""Standing water in a pipe in frosty air: when ice begins, when it is frozen through, what keeps it from that."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers

FUSION_J_PER_KG = 333.55e3  # of ice, IAPWS R14-08


def cooling_time(
    water_c: Numbers, air_c: Numbers, capacity_j_per_mk: Numbers, transmittance_w_per_mk: Numbers
) -> Array:
    """Time until standing water in a pipe is at 0 degC. [s]

    Parameters
    ----------
    water_c : float or Array
        Water at the beginning [degC].
    air_c : float or Array
        Air around the pipe [degC].
    capacity_j_per_mk : float or Array
        Heat capacity of the water in a metre of it, above 0 [J/mK].
    transmittance_w_per_mk : float or Array
        Linear transmittance of the pipe, above 0 [W/mK].

    Returns
    -------
    Array
        Time [s]; infinite in air of 0 degC and above, 0 for water that is that cold already.

    Notes
    -----
    t = C/U ln((t_water - t_air)/(0 - t_air)). The pipe's own wall is left out, on the safe side.

    Source: ISO 12241:2008 on cooling and freezing of stationary liquids (from memory); Cengel eq. 4-4.

    Examples
    --------
    By hand, from 10 degC in air of -10 degC: C/U ln 2.

    >>> round(float(cooling_time(10.0, -10.0, 3600.0, 1.0)))
    2495
    """
    frost_k = np.maximum(-np.asarray(air_c, dtype=float), 0.0)
    above_k = np.maximum(np.asarray(water_c, dtype=float), 0.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        lasting = np.asarray(capacity_j_per_mk) / transmittance_w_per_mk * np.log1p(above_k / frost_k)
    return np.where(above_k > 0.0, lasting, 0.0) + np.where(frost_k > 0.0, 0.0, np.inf)


def freezing_time(air_c: Numbers, water_kg_per_m: Numbers, transmittance_w_per_mk: Numbers) -> Array:
    """Time in which standing water of 0 degC in a pipe freezes through. [s]

    Parameters
    ----------
    air_c : float or Array
        Air around the pipe [degC].
    water_kg_per_m : float or Array
        Water in a metre of it [kg/m].
    transmittance_w_per_mk : float or Array
        Linear transmittance of the pipe, above 0 [W/mK].

    Returns
    -------
    Array
        Time [s]; infinite in air of 0 degC and above.

    Notes
    -----
    m r/(U (0 - t_air)) with the heat of fusion r. Ice that insulates is left out, on the safe side. A plug that blocks
    the flow, and bursts the pipe, needs a part of it.

    Source: ISO 12241:2008 on cooling and freezing of stationary liquids (from memory).

    Examples
    --------
    By hand, 1 kg in air of -10 degC at 1 W/mK: 333.55e3/10 s.

    >>> round(float(freezing_time(-10.0, 1.0, 1.0)))
    33355
    """
    frost_k = np.maximum(-np.asarray(air_c, dtype=float), 0.0)
    with np.errstate(divide="ignore"):
        return np.asarray(np.asarray(water_kg_per_m) * FUSION_J_PER_KG / (transmittance_w_per_mk * frost_k))
