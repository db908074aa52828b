"""Smallest feasible number of many cases side by side. The search knows nothing of what is searched for."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from thermal.core.arrays import Array

MIN_POINTS, MAX_POINTS = 3, 40  # points of each case in one round, at and around the expected root
POINTS_AT_ONCE = 128  # points of all cases together; up to here more of them cost little time
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
    """Smallest x in [low, high] with a margin of zero or more, for each case, to within a tolerance.

    False position, with bisection as the safeguard. Each round tries several points of each case. They lie close to the
    root of the straight line through the ends, or evenly spread where the round before did not halve the interval. The
    low end is one of the points until one is not feasible.

    Parameters
    ----------
    margin : callable
        Takes the indices of the cases still searched, shape (open,), and points of each, shape (point, open); returns
        their margins, shape (point, open), which rise with x.
    low, high : Array, shape (case,)
        Ends of each case's interval, in the unit of x.
    tolerance : float
        Width of the interval at which the search of a case ends, in the unit of x.
    high_is_feasible : bool
        True where `high` is known to be feasible and need not be tried.
    initial_bracket : pair of float, optional
        Part of the interval that the first round searches, as shares of its width; the whole interval by default.
    initial_points : int, optional
        Points of each case in the first round; as many as in later rounds by default.

    Returns
    -------
    Array, shape (case,)
        The feasible end of the last interval; infinite where `high` is not feasible.
    """
    low, high = low.astype(float), high.astype(float)
    below, above = np.full(len(low), np.nan), np.full(len(low), np.nan)  # margins at the ends; NaN until tried
    halve, hopeless = np.ones(len(low), dtype=bool), np.zeros(len(low), dtype=bool)
    for round_number in range(ROUNDS):
        cases = np.flatnonzero((high - low > tolerance) & ~hopeless)
        if not cases.size:
            break
        width = high[cases] - low[cases]
        points = max(min(POINTS_AT_ONCE // cases.size, MAX_POINTS), MIN_POINTS)
        if round_number == 0 and initial_points:
            points = initial_points
        trials = _candidates(low[cases], high[cases], below[cases], above[cases], halve[cases], tolerance, points)
        if round_number == 0:
            if initial_bracket:
                trials = low[cases] + width * np.linspace(*initial_bracket, points)[:, None]
            trials = trials if high_is_feasible else np.vstack([trials, high[cases]])
        margins = margin(cases, trials)
        if round_number == 0 and not high_is_feasible:
            hopeless[cases] = margins[-1] < 0
            above[cases] = margins[-1]
        for x, point_margin in zip(trials, margins, strict=True):
            feasible = (point_margin >= 0) & (x < high[cases])
            high[cases[feasible]], above[cases[feasible]] = x[feasible], point_margin[feasible]
        for x, point_margin in zip(trials, margins, strict=True):
            infeasible = (point_margin < 0) & (x >= low[cases]) & (x < high[cases])
            low[cases[infeasible]], below[cases[infeasible]] = x[infeasible], point_margin[infeasible]
        halve[cases] = high[cases] - low[cases] > 0.5 * width
    return np.where(hopeless, np.inf, high)


def _candidates(
    low: Array, high: Array, below: Array, above: Array, halve: Array, tolerance: float, points: int
) -> Array:
    """Points to try inside each interval, rising, shape (point, case)."""
    width = high - low
    inner, from_low = np.linspace(0.0, 1.0, points + 2)[1:-1, None], np.linspace(0.0, 1.0, points + 1)[:-1, None]
    even = low + width * np.where(np.isnan(below), from_low, inner)  # a low end without a margin has not been tried
    bisect = halve | np.isnan(below) | np.isnan(above)
    with np.errstate(invalid="ignore", divide="ignore"):
        share = np.where(bisect, 0.5, -below / (above - below))
    root = low + width * np.clip(share, 0.0, 1.0)
    reach = np.maximum(0.225 * tolerance * (points - 1), 0.03 * width)  # points 0.45 of the tolerance apart, or more
    near = root + reach * np.linspace(-1.0, 1.0, points)[:, None]
    inside = np.clip(near, low + 0.02 * width, high - 0.02 * width)
    return np.asarray(np.where(bisect, even, inside))
