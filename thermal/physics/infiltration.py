"""Air change: how much outside air a room takes in, and the heat that costs."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers
from thermal.physics.constants import CP_AIR

# Stack and wind coefficients of the basic model, ASHRAE Fundamentals 2005 ch. 27 tables 6, 7 (from memory).
STACK_COEFFICIENT = {1: 0.000145, 2: 0.000290, 3: 0.000435}
WIND_COEFFICIENT = {
    1: (0.000319, 0.000246, 0.000174, 0.000104, 0.000032),
    2: (0.000420, 0.000325, 0.000231, 0.000137, 0.000042),
    3: (0.000494, 0.000382, 0.000271, 0.000161, 0.000049),
}
SHELTER_CLASS = 3  # some houses, trees or fences as near as two heights of the room
# Effective leakage area for each m3 of room that lets in one air change an hour, as the mean of a winter. Set once:
# with it the ready garage and workshops take in 0.97 to 1.02 of the named rate in winters at Springfield, Illinois,
# with 3 m/s of wind, and a bare shed, whose air is hardly warmer than outdoors, 0.9.
LEAKAGE_CM2_PER_M3 = 6.0
AIR_PER_OPENING = 0.5  # share of the room's air that one opening of a large door changes; our judgement


def air_change_flow(air_changes_per_h: Numbers, volume_m3: Numbers) -> Array:
    """Volume flow of outside air from an air-change rate. [m3/s]

    Parameters
    ----------
    air_changes_per_h : float or Array
        Air changes an hour [1/h].
    volume_m3 : float or Array
        Volume of the room [m3].

    Returns
    -------
    Array
        Volume flow [m3/s].

    Notes
    -----
    Q = n V/3600.

    Source: definition of the air-change rate.

    Examples
    --------
    >>> float(air_change_flow(0.5, 72.0))
    0.01
    """
    return np.asarray(air_changes_per_h, dtype=float) * volume_m3 / 3600.0


def door_air_changes(openings_per_day: Numbers) -> Array:
    """Air changes that a large door's openings add. [1/h]

    Parameters
    ----------
    openings_per_day : float or Array
        Openings a day [1/d].

    Returns
    -------
    Array
        Mean air changes an hour [1/h].

    Notes
    -----
    n = 0.5 N/24: each opening changes half the air.

    Source: our judgement, no source.

    Examples
    --------
    >>> float(door_air_changes(12.0))
    0.25
    """
    return AIR_PER_OPENING * np.asarray(openings_per_day) / 24.0


def leakage_flow(
    leakage_area_cm2: Numbers,
    temperature_difference_k: Numbers,
    wind_m_s: Numbers,
    stories: int = 1,
    shelter_class: int = SHELTER_CLASS,
) -> Array:
    """Volume flow of outside air through cracks, from stack and wind. [m3/s]

    Parameters
    ----------
    leakage_area_cm2 : float or Array
        Effective leakage area at 4 Pa [cm2].
    temperature_difference_k : float or Array
        Inside less outside temperature, either sign [K].
    wind_m_s : float or Array
        Wind speed at the weather station [m/s].
    stories : int
        1, 2 or 3.
    shelter_class : int
        1, open, to 5, densely built.

    Returns
    -------
    Array
        Volume flow [m3/s].

    Raises
    ------
    KeyError
        When `stories` is not 1, 2 or 3.
    IndexError
        When `shelter_class` is above 5.

    Notes
    -----
    Q = A_L/1000 (C_s |dT| + C_w v^2)^(1/2).

    Source: Sherman & Grimsrud 1980, as in ASHRAE Fundamentals 2005 ch. 27 eq. 40 (from memory).

    Examples
    --------
    ASHRAE Fundamentals 2005 ch. 27: 265 m3/h for 500 cm2, two stories, 39 K and 6.7 m/s (from memory).

    >>> round(3600.0 * float(leakage_flow(500.0, 39.0, 6.7, 2)))
    265
    """
    stack = STACK_COEFFICIENT[stories] * np.abs(temperature_difference_k)
    wind = WIND_COEFFICIENT[stories][shelter_class - 1] * np.square(wind_m_s)
    return np.asarray(leakage_area_cm2) / 1000.0 * np.sqrt(stack + wind)


def leakage_area(mean_air_changes_per_h: Numbers, volume_m3: Numbers) -> Array:
    """Effective leakage area of a room from its mean air change of a winter. [cm2]

    Parameters
    ----------
    mean_air_changes_per_h : float or Array
        Mean air changes of a winter [1/h].
    volume_m3 : float or Array
        Volume of the room [m3].

    Returns
    -------
    Array
        Effective leakage area at 4 Pa [cm2].

    Notes
    -----
    A_L = 6 n V, for a room a few kelvins warmer than outdoors, 3 m/s of wind and shelter class 3.

    Source: this project's, from `leakage_flow` over whole winters (see `LEAKAGE_CM2_PER_M3`).

    Examples
    --------
    >>> float(leakage_area(1.0, 54.0))
    324.0
    """
    return LEAKAGE_CM2_PER_M3 * np.asarray(mean_air_changes_per_h) * volume_m3


def mean_air_changes(leakage_area_cm2: Numbers, volume_m3: Numbers) -> Array:
    """Mean air changes of a winter that a leakage area lets in. [1/h]

    Parameters
    ----------
    leakage_area_cm2 : float or Array
        Effective leakage area at 4 Pa [cm2].
    volume_m3 : float or Array
        Volume of the room [m3].

    Returns
    -------
    Array
        Mean air changes of a winter [1/h].

    Notes
    -----
    n = A_L/(6 V), the inverse of `leakage_area`.

    Source: as `leakage_area`.

    Examples
    --------
    >>> float(mean_air_changes(324.0, 54.0))
    1.0
    """
    return np.asarray(leakage_area_cm2) / (LEAKAGE_CM2_PER_M3 * np.asarray(volume_m3))


def air_change_conductance(dry_air_kg_s: Numbers) -> Array:
    """Conductance to outdoors by air change. [W/K]

    Parameters
    ----------
    dry_air_kg_s : float or Array
        Dry outside air taken in [kg/s].

    Returns
    -------
    Array
        Conductance [W/K].

    Notes
    -----
    H = m cp, of dry air.

    Source: energy balance; ISO 13790:2008 uses 0.333 W/K for each m3/h.

    Examples
    --------
    Air of 20 degC, 1.204 kg/m3: 0.336 W/K for each m3/h.

    >>> round(float(air_change_conductance(1.204 / 3600.0)), 3)
    0.336
    """
    return np.asarray(dry_air_kg_s) * CP_AIR


def flow_in_series(first: Numbers, second: Numbers) -> Array:
    """What two flows, or conductances, pass one after the other. [unit of both]

    Parameters
    ----------
    first, second : float or Array
        For instance air from a hut to the room, and from the room outdoors [kg/s].

    Returns
    -------
    Array
        Their flow in series, zero when both are [unit of both].

    Notes
    -----
    a b/(a + b). For a hut's vapour it neglects what the room's air holds and what condenses on the room's sides.

    Source: steady mass balance of the air between them.

    Examples
    --------
    >>> float(flow_in_series(3.0, 6.0)), float(flow_in_series(0.0, 0.0))
    (2.0, 0.0)
    """
    both = np.add(first, second)
    product = np.multiply(first, second)
    return np.where(both > 0.0, product / np.where(both > 0.0, both, 1.0), 0.0)


def hut_vapour_share(hut_kg_s: Numbers, room_kg_s: Numbers) -> Array:
    """Share of vapour given to a room that makes the hut in it as damp as if it were given in the hut. [-]

    Parameters
    ----------
    hut_kg_s : float or Array
        Air that hut and room exchange, m [kg/s].
    room_kg_s : float or Array
        Air that room and outdoors exchange, M [kg/s].

    Returns
    -------
    Array
        Share, zero without any exchange [-].

    Notes
    -----
    m/(m + M). Vapour S in the room raises its humidity by S/M, and the hut's by as much; vapour s in the hut raises it
    by s (1/m + 1/M). Both are equal for s = S m/(m + M).

    Source: steady mass balance of the vapour.

    Examples
    --------
    >>> float(hut_vapour_share(1.0, 3.0))
    0.25
    """
    both = np.add(hut_kg_s, room_kg_s)
    return np.where(both > 0.0, hut_kg_s / np.where(both > 0.0, both, 1.0), 0.0)
