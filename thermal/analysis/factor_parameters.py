"""The parameters in which a calibration searches: the sum of two losses and their ratio, in place of two factors.

Where a log knows a sum only, the factors that agree with it lie on a curve. In sum and ratio the curve is a straight
line, which the search can follow and a covariance can describe.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from thermal.core.arrays import Array

PAIRS = (("room", "air_change"), ("water", "cover"))  # losses between the same two places, so that they add up


def pairs_among(names: tuple[str, ...]) -> list[tuple[int, int]]:
    """Places of both members of each pair among the names of factors."""
    return [(names.index(a), names.index(b)) for a, b in PAIRS if a in names and b in names]


def shares_of(names: tuple[str, ...], losses: Mapping[str, float]) -> Array:
    """Share of each factor's loss in that of its pair, a half where it is not known, shape (factor,). [-]

    Parameters
    ----------
    names : tuple of str
        Names of the factors.
    losses : mapping of str to float
        Heat loss by factor [W/K].
    """
    shares = np.ones(len(names))
    for i, j in pairs_among(names):
        known = np.array([losses.get(names[k], 0.0) for k in (i, j)])
        shares[[i, j]] = known / known.sum() if (known > 0.0).all() else 0.5
    return shares


def log_factors(names: tuple[str, ...], shares: Array, parameters: Array) -> Array:
    """Logarithms of the factors, shape (row, factor).

    Parameters
    ----------
    names : tuple of str
        Names of the factors.
    shares : Array, shape (factor,)
        Share of each in the loss of its pair [-].
    parameters : Array, shape (row, factor)
        In the place of a pair's first factor the logarithm of the factor on its sum; in that of its second the
        logarithm of the ratio of the second factor to the first; else the logarithm of the factor itself.
    """
    logarithms = np.array(parameters, dtype=float)
    for i, j in pairs_among(names):
        total, ratio = parameters[:, i], parameters[:, j]
        logarithms[:, i] = total - np.log(shares[i] + shares[j] * np.exp(ratio))
        logarithms[:, j] = logarithms[:, i] + ratio
    return logarithms


def slopes_of_log_factors(names: tuple[str, ...], shares: Array, parameters: Array) -> Array:
    """Change of each logarithm for each parameter, shape (factor, parameter).

    Parameters
    ----------
    names, shares
        As in `log_factors`.
    parameters : Array, shape (factor,)
        One row of its parameters.
    """
    slopes = np.eye(len(names))
    for i, j in pairs_among(names):
        second = shares[j] * np.exp(parameters[j])
        second /= shares[i] + second
        slopes[i, [i, j]] = 1.0, -second
        slopes[j, [i, j]] = 1.0, 1.0 - second
    return slopes
