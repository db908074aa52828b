"""The smallest number for which something holds, for many cases side by side; knows nothing of heaters."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from thermal.core.arrays import Array

MIN_POINTS, MAX_POINTS = 3, 40  # candidates of each case tried at once: the expected root and some at either side
POINTS_AT_ONCE = 128  # candidates in all up to which trying more costs little
ROUNDS = 60


def smallest_feasible(
    margin: Callable[[Array, Array], Array],
    low: Array,
    high: Array,
    tolerance: float,
    high_is_feasible: bool = True,
    initial_bracket: tuple[float, float] | None = None,
    initial_points: int | None = None,
) -> Array:
    """For each case the smallest x in [low, high] whose margin is not negative, to within a tolerance.

    Parameters
    ----------
    margin : callable
        Takes the places of the cases still open, shape (open,), and candidates for them, shape (point, open);
        gives their margins, rising with x.
    low, high : Array, shape (case,)
    sure : bool
        `high` is known to hold and is not asked.
    likely : pair of float, optional
        Where in the interval the first round looks, as shares of it: all over it when not given.
    first : int, optional
        Candidates of each case in that round; as many as in later ones when not given.

    Returns
    -------
    Array, shape (case,)
        The side that holds; infinite where not even `high` does.

    False position guarded by bisection: candidates lie close to the straight line's root, and evenly spread when
    the round before did not halve the interval. The first round asks the ends as well.
    """
    low, high = low.astype(float), high.astype(float)
    below, above = np.full(len(low), np.nan), np.full(len(low), np.nan)  # margins at the ends, once known
    halve, hopeless = np.ones(len(low), dtype=bool), np.zeros(len(low), dtype=bool)
    for turn in range(ROUNDS):
        at = np.flatnonzero((high - low > tolerance) & ~hopeless)
        if not at.size:
            break
        width = high[at] - low[at]
        points = max(min(POINTS_AT_ONCE // at.size, MAX_POINTS), MIN_POINTS)
        if turn == 0 and initial_points:
            points = initial_points
        tried = _candidates(low[at], high[at], below[at], above[at], halve[at], tolerance, points)
        if turn == 0:
            if initial_bracket:
                tried = low[at] + width * np.linspace(*initial_bracket, points)[:, None]
            tried = np.vstack([low[at], tried] if high_is_feasible else [low[at], tried, high[at]])
        result = margin(at, tried)
        if turn == 0 and not high_is_feasible:
            hopeless[at] = result[-1] < 0
            above[at] = result[-1]
        for x, m in zip(tried, result, strict=True):
            holds = (m >= 0) & (x < high[at])
            high[at[holds]], above[at[holds]] = x[holds], m[holds]
        for x, m in zip(tried, result, strict=True):
            short = (m < 0) & (x >= low[at]) & (x < high[at])
            low[at[short]], below[at[short]] = x[short], m[short]
        halve[at] = high[at] - low[at] > 0.5 * width
    return np.where(hopeless, np.inf, high)


def _candidates(
    low: Array, high: Array, below: Array, above: Array, halve: Array, tolerance: float, points: int
) -> Array:
    """Points inside each interval, shape (point, case), rising."""
    width = high - low
    even = low + width * np.linspace(0.0, 1.0, points + 2)[1:-1, None]
    blind = halve | np.isnan(below) | np.isnan(above)
    with np.errstate(invalid="ignore", divide="ignore"):
        share = np.where(blind, 0.5, -below / (above - below))
    root = low + width * np.clip(share, 0.0, 1.0)
    reach = np.maximum(0.225 * tolerance * (points - 1), 0.03 * width)  # half a tolerance from one to the next
    near = root + reach * np.linspace(-1.0, 1.0, points)[:, None]
    inside = np.clip(near, low + 0.02 * width, high - 0.02 * width)
    return np.where(blind, even, inside)
