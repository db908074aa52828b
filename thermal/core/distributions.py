"""Distributions of uncertain inputs: a triangle, or a lognormal factor; each by its low, likely and high value."""

from __future__ import annotations

import math
from statistics import NormalDist
from typing import NamedTuple

NORMAL_95 = 1.645  # standard deviations from the mean to either end of a 90 % interval
TriangularRange = tuple[float, float, float]


class LognormalRange(NamedTuple):
    """A factor whose logarithm is normal; `low` and `high` are its 5 and 95 % quantiles, `likely` its median."""

    low: float
    likely: float
    high: float

    @property
    def ln_sd(self) -> float:
        """Standard deviation of the logarithm. [-]"""
        return math.log(self.high / self.likely) / NORMAL_95


def lognormal(ln_sd: float) -> LognormalRange:
    """A factor with median 1.

    Parameters
    ----------
    ln_sd : float
        Standard deviation of its logarithm [-].
    """
    return LognormalRange(math.exp(-NORMAL_95 * ln_sd), 1.0, math.exp(NORMAL_95 * ln_sd))


def quantile(u: float, spread: TriangularRange) -> float:
    """The value below which a share of a distribution lies, in the unit of the distribution.

    Parameters
    ----------
    u : float
        The share, between 0 and 1 [-].
    spread : tuple of float
        Low, likely and high value of a triangle, which may also fall; or a `LognormalRange`.

    Notes
    -----
    Triangle: low + sqrt(u (high - low) (likely - low)) below its peak, and so from the other end above.
    Lognormal: likely exp(s z(u)), z the quantile of the standard normal distribution.

    Source: Johnson, Kotz & Balakrishnan 1994, Continuous Univariate Distributions 1 and 2 (from memory).

    Examples
    --------
    >>> quantile(0.5, (0.0, 1.0, 2.0)), round(quantile(0.8413447, lognormal(0.15)), 4)
    (1.0, 1.1618)
    """
    low, likely, high = spread
    if isinstance(spread, LognormalRange):
        return likely * math.exp(spread.ln_sd * NormalDist().inv_cdf(u))
    width = high - low
    if width == 0:
        return likely
    peak = (likely - low) / width
    if u < peak:
        return low + math.copysign(math.sqrt(u * width * (likely - low)), width)
    return high - math.copysign(math.sqrt((1.0 - u) * width * (high - likely)), width)
