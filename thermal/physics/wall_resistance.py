"""Resistances and U-values: layers, studs, films, sides of a room, slabs, bottoms of vessels, a hut's skin."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from thermal.core.arrays import Array, Numbers
from thermal.physics.attic import ATTIC_ROOF, attic_factor

R_INSIDE = {"horizontal": 0.13, "up": 0.10, "down": 0.17}  # m2K/W, by heat flow, ISO 6946:2017 table 7
R_OUTSIDE = 0.04  # m2K/W, ISO 6946:2017 table 7
FILMS = R_INSIDE["horizontal"] + R_OUTSIDE  # of a wall to outdoors
R_BEYOND = {"outdoors": R_OUTSIDE, "house": R_INSIDE["horizontal"], "attic": R_INSIDE["up"], "ground": 0.0}
BARE_SHARE = 0.1  # of a floor that meets the air however many vessels stand on it; our judgement, no source
SLAB_FINISH_R = 0.05  # m2K/W between slab surface and its middle; the rest of a floor's R lies under it


def layer_resistance(thickness_m: Numbers, conductivity_w_per_mk: Numbers) -> Array:
    """Thermal resistance of one homogeneous layer. [m2K/W]

    Parameters
    ----------
    thickness_m : float or Array
        Thickness [m].
    conductivity_w_per_mk : float or Array
        Heat conductivity [W/mK].

    Returns
    -------
    Array
        Resistance [m2K/W].

    Notes
    -----
    R = d/lambda.

    Source: ISO 6946:2017 eq. 3.

    Examples
    --------
    Building (Scotland) Act 2003, annex 6.B.2: 140 mm of mineral wool of 0.042 W/mK, R 3.333.

    >>> round(float(layer_resistance(0.140, 0.042)), 3)
    3.333
    """
    return np.asarray(thickness_m, dtype=float) / conductivity_w_per_mk


def parallel_path_resistance(resistances: ArrayLike, shares: ArrayLike) -> float:
    """Total resistance when each area share keeps to its own path. [unit of `resistances`]

    Parameters
    ----------
    resistances : ArrayLike, shape (path,)
        Whole-wall resistance through each share, films included [m2K/W, or any other unit].
    shares : ArrayLike, shape (path,)
        Area fractions, adding to 1 [-].

    Returns
    -------
    float
        Resistance [unit of `resistances`].

    Notes
    -----
    1/R = sum(f_i/R_i). Also the upper limit of ISO 6946:2017 eq. 7.

    Source: ASHRAE Fundamentals, parallel-path method.

    Examples
    --------
    Iowa energy-hotline R-value table, 2x4 wall with R-11, 85/15: R-12.05.

    >>> round(parallel_path_resistance((13.73, 7.11), (0.85, 0.15)), 2)
    12.05
    """
    return float(1.0 / np.sum(np.asarray(shares, dtype=float) / np.asarray(resistances, dtype=float)))


def combined_resistance(films_and_layers: float, bridged: ArrayLike, shares: ArrayLike) -> float:
    """Total resistance of a wall with one bridged layer: the mean of the two limits. [m2K/W]

    Parameters
    ----------
    films_and_layers : float
        Sum of films and all unbridged layers [m2K/W].
    bridged : ArrayLike, shape (path,)
        Resistance of the bridged layer through each share: insulation, stud [m2K/W].
    shares : ArrayLike, shape (path,)
        Area fractions, adding to 1 [-].

    Returns
    -------
    float
        Resistance, films included [m2K/W].

    Notes
    -----
    R = (R_upper + R_lower)/2: parallel paths through the whole wall, and through the bridged layer alone. For an
    upper limit of at most 1.5 times the lower.

    Source: ISO 6946:2017 section 6.7.2, eq. 6-9.

    Examples
    --------
    Building (Scotland) Act 2003, annex 6.B.2 (limits computed): 3.474 m2K/W.

    >>> round(combined_resistance(0.638, (3.333, 1.077), (0.905, 0.095)), 3)
    3.474
    """
    r = np.asarray(bridged, dtype=float)
    upper = parallel_path_resistance(films_and_layers + r, shares)
    lower = films_and_layers + parallel_path_resistance(r, shares)
    return 0.5 * (upper + lower)


def framed_resistance(layers: Sequence[float], stud_r: float, stud_share: float) -> float:
    """Surface-to-surface resistance of layers, the best-insulating one bridged by studs. [m2K/W]

    Parameters
    ----------
    layers : sequence of float
        Resistance of every layer [m2K/W].
    stud_r : float
        Resistance of the studs through the thickness of the bridged layer [m2K/W].
    stud_share : float
        Share of the area that is stud [-].

    Returns
    -------
    float
        Resistance without films [m2K/W].

    Notes
    -----
    `combined_resistance` with films of 0.13 and 0.04 taken in, then out again.

    Source: ISO 6946:2017 section 6.7.2.

    Examples
    --------
    Building (Scotland) Act 2003, annex 6.B.2 (limits computed): 3.474 m2K/W with films.

    >>> round(framed_resistance((0.132, 0.090, 0.146, 3.333, 0.100), 1.077, 0.095) + FILMS, 3)
    3.474
    """
    cavity = max(layers)
    fixed = FILMS + sum(layers) - cavity
    return combined_resistance(fixed, (cavity, stud_r), (1.0 - stud_share, stud_share)) - FILMS


def resistance_without_films(transmittance: Numbers) -> Array:
    """Surface-to-surface resistance of a wall whose U-value counts its films. [m2K/W]

    Parameters
    ----------
    transmittance : float or Array
        U-value with films of 0.13 and 0.04 m2K/W [W/m2K].

    Returns
    -------
    Array
        Resistance, at least zero [m2K/W].

    Notes
    -----
    R = max(1/U - 0.17, 0).

    Source: ISO 6946:2017 table 7.

    Examples
    --------
    Bare sheet metal: 5.9 W/m2K is the two films alone.

    >>> round(float(resistance_without_films(5.9)), 3)
    0.0
    """
    return np.maximum(1.0 / np.asarray(transmittance, dtype=float) - FILMS, 0.0)


def side_transmittance(resistance: Numbers, faces: str = "outdoors", attic_w_per_m2k: Numbers = ATTIC_ROOF) -> Array:
    """U-value of one side of a room, its films included. [W/m2K]

    Parameters
    ----------
    resistance : float or Array
        Surface-to-surface resistance [m2K/W].
    faces : str
        "outdoors", "house", "attic" or "ground".
    attic_w_per_m2k : float or Array
        Conductance of the roof, as in `attic_factor` [W/m2K].

    Returns
    -------
    Array
        U-value between the room's air and what lies beyond [W/m2K].

    Raises
    ------
    KeyError
        When `faces` is none of the four.

    Notes
    -----
    U = b/(0.13 + R + R_beyond), R_beyond 0.04 outdoors, 0.13 to a house, 0.10 to an attic, 0 to the ground; b is the
    attic's factor, elsewhere 1.

    Source: ISO 6946:2017 table 7; b of ISO 13789 (from memory).

    Examples
    --------
    The wall of the Building (Scotland) Act 2003, annex 6.B.2: U 0.288 W/m2K.

    >>> round(float(side_transmittance(3.4739 - FILMS)), 3)
    0.288
    """
    u = 1.0 / (R_INSIDE["horizontal"] + np.asarray(resistance) + R_BEYOND[faces])
    return np.asarray(u * attic_factor(u, attic_w_per_m2k) if faces == "attic" else u)


def film_conductance(area_m2: Numbers, resistance: Numbers, flow: str = "horizontal") -> Array:
    """Conductance of a layer behind a standard inside film. [W/K]

    Parameters
    ----------
    area_m2 : float or Array
        Area [m2].
    resistance : float or Array
        Resistance of the layer [m2K/W].
    flow : str
        Heat flow: "horizontal", "up" or "down".

    Returns
    -------
    Array
        Conductance [W/K].

    Raises
    ------
    KeyError
        When `flow` is none of the three.

    Notes
    -----
    A/(R_si + R). For summaries; the solver works out films from temperatures.

    Source: ISO 6946:2017 table 7.

    Examples
    --------
    >>> float(film_conductance(2.0, 0.87))
    2.0
    """
    return np.asarray(area_m2) / (R_INSIDE[flow] + np.asarray(resistance))


def slab_resistance(floor_r: Numbers) -> Array:
    """Resistance from room air to the slab node. [m2K/W]

    Parameters
    ----------
    floor_r : float or Array
        Resistance of the floor without films [m2K/W].

    Returns
    -------
    Array
        Resistance [m2K/W].

    Notes
    -----
    0.17 + min(R_f, 0.05): the film for heat flow down, and the slab to its middle.

    Source: ISO 6946:2017 table 7 for the film; the slab's 0.05 is our judgement, no source.

    Examples
    --------
    >>> round(float(slab_resistance(1.76)), 2), round(float(slab_resistance(0.0)), 2)
    (0.22, 0.17)
    """
    return R_INSIDE["down"] + np.minimum(floor_r, SLAB_FINISH_R)


def bare_floor_area(area_m2: Numbers, covered_m2: Numbers) -> Array:
    """Floor that meets the air beside the vessels on it. [m2]

    Parameters
    ----------
    area_m2 : float or Array
        Floor area [m2].
    covered_m2 : float or Array
        Floor that vessels stand on [m2].

    Returns
    -------
    Array
        Area, at least a tenth of the floor [m2].

    Notes
    -----
    max(A - A_covered, 0.1 A).

    Source: geometry; the tenth is our judgement, no source.

    Examples
    --------
    >>> float(bare_floor_area(30.0, 4.0)), float(bare_floor_area(30.0, 29.0))
    (26.0, 3.0)
    """
    return np.maximum(np.asarray(area_m2) - covered_m2, BARE_SHARE * np.asarray(area_m2))


def vessel_base_resistance(resistance: Numbers, base: str, air_known: bool = False) -> Array:
    """Resistance under a vessel, from its water to the slab or to the air below a frame. [m2K/W]

    Parameters
    ----------
    resistance : float or Array
        Resistance of the bottom and what lies directly beneath it [m2K/W].
    base : str
        "frame", with air below the bottom, or "slab".
    air_known : bool
        Whether the room's temperature is given: then a slab's surface film leads to it.

    Returns
    -------
    Array
        Resistance [m2K/W].

    Notes
    -----
    Frame: R + 0.17, film for heat flow down. Slab: R + 0.05 to the slab's middle, + 0.17 to a room of known air.

    Source: ISO 6946:2017 table 7; the slab's 0.05 is our judgement, no source.

    Examples
    --------
    >>> round(float(vessel_base_resistance(1.0, "frame")), 2), round(float(vessel_base_resistance(1.0, "slab")), 2)
    (1.17, 1.05)
    """
    if base == "frame":
        return np.asarray(resistance) + R_INSIDE["down"]
    return np.asarray(resistance) + SLAB_FINISH_R + (R_INSIDE["down"] if air_known else 0.0)


def hut_transmittance(resistance: Numbers) -> Array:
    """U-value of a hut's skin between two still airs. [W/m2K]

    Parameters
    ----------
    resistance : float or Array
        Surface-to-surface resistance of the skin [m2K/W].

    Returns
    -------
    Array
        U-value [W/m2K].

    Notes
    -----
    U = 1/(2 x 0.13 + R): an inside film on both faces.

    Source: ISO 6946:2017 table 7.

    Examples
    --------
    >>> float(hut_transmittance(0.24))
    2.0
    """
    return 1.0 / (2.0 * R_INSIDE["horizontal"] + np.asarray(resistance))
