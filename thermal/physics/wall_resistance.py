"""Layers in series and studs in parallel: resistances and U-values of solid walls."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from thermal.core.arrays import Array, Numbers

# Surface resistances [m2K/W], ISO 6946:2017 table 7.
R_INSIDE = {"horizontal": 0.13, "up": 0.10, "down": 0.17}
R_OUTSIDE = 0.04
INSIDE_CONVECTIVE_FILM_W_PER_M2K = 2.5  # convective part of an inside film, ISO 6946:2017 annex C
R_MOULD = 0.25  # inside film behind which mould is judged, ISO 13788:2012 section 4.4.1


def layer_resistance(thickness_m: Numbers, conductivity_w_per_mk: Numbers) -> Array:
    """Thermal resistance of one homogeneous layer. [m2K/W] Source: ISO 6946:2017 eq. 3."""
    return np.asarray(thickness_m, dtype=float) / conductivity_w_per_mk


def parallel_path_resistance(resistances: ArrayLike, shares: ArrayLike) -> float:
    """Total resistance when each area share keeps to its own path. [unit of `resistances`]

    resistances : whole-wall resistance through each share, films included.
    shares      : area fractions, adding to 1.
    Source: ASHRAE Fundamentals, parallel-path method; also the upper limit of ISO 6946:2017 eq. 7.
    """
    return float(1.0 / np.sum(np.asarray(shares, dtype=float) / np.asarray(resistances, dtype=float)))


def combined_resistance(films_and_layers: float, bridged: ArrayLike, shares: ArrayLike) -> float:
    """Total resistance of a wall with one bridged layer: the mean of the two limits. [m2K/W]

    films_and_layers : sum of films and all unbridged layers.
    bridged          : resistance of the bridged layer through each share (insulation, stud).
    shares           : area fractions, adding to 1.
    Source: ISO 6946:2017 section 6.7.2, eq. 6-9.
    """
    r = np.asarray(bridged, dtype=float)
    upper = parallel_path_resistance(films_and_layers + r, shares)
    lower = films_and_layers + parallel_path_resistance(r, shares)
    return 0.5 * (upper + lower)
