"""Smallest feasible number of many cases side by side. The search knows nothing of what is searched for."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from thermal.core.arrays import Array

MIN_POINTS, MAX_POINTS = 3, 40  # points of each case in one round, at and around the expected root
POINTS_AT_ONCE = 128  # points of all cases together; up to here more of them cost little time
PAIR = 2  # points of each case once there are so many cases that each point costs its own time
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
    first round tries the ends too. Many cases try a pair of points each, around the root of the curve through three,
    and `low` only where no root lies above it: 7 to 8 points of each case in place of 10 to 12.

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
    ends = _Ends(low.astype(float), high.astype(float))
    for round_number in range(ROUNDS):
        cases = np.flatnonzero((ends.high - ends.low > tolerance) & ~ends.hopeless)
        if not cases.size:
            break
        many = POINTS_AT_ONCE // cases.size < MIN_POINTS
        points = PAIR if many else min(POINTS_AT_ONCE // cases.size, MAX_POINTS)
        if round_number == 0:
            points = initial_points or max(points, MIN_POINTS)
            bracket = initial_bracket or (1.0 / (points + 1), points / (points + 1))
            trials = ends.low[cases] + (ends.high - ends.low)[cases] * np.linspace(*bracket, points)[:, None]
            first = [] if many and high_is_feasible else [ends.low[cases]]
            trials = np.vstack([*first, trials] if high_is_feasible else [*first, trials, ends.high[cases]])
        else:
            trials = ends.candidates(cases, points, tolerance, many)
        margins = margin(cases, trials)
        if round_number == 0 and not high_is_feasible:
            ends.hopeless[cases] = margins[-1] < 0
            ends.above[cases] = margins[-1]
        ends.narrow(cases, trials, margins)
    return np.where(ends.hopeless, np.inf, ends.high)


class _Ends:
    """The interval of each case, its margins at both ends, NaN until tried, and one more point; shape (case,)."""

    def __init__(self, low: Array, high: Array) -> None:
        self.low, self.high = low, high
        self.below, self.above = np.full(len(low), np.nan), np.full(len(low), np.nan)
        self.third, self.third_margin = np.full(len(low), np.nan), np.full(len(low), np.nan)
        self.halve, self.hopeless = np.ones(len(low), dtype=bool), np.zeros(len(low), dtype=bool)

    def narrow(self, cases: Array, trials: Array, margins: Array) -> None:
        """Move the ends to the nearest of the points tried, shape (point, case), by their margins."""
        width = self.high[cases] - self.low[cases]
        tried = np.vstack([self.low[cases], self.high[cases], trials])
        tried_margins = np.vstack([self.below[cases], self.above[cases], margins])
        for x, point_margin in zip(trials, margins, strict=True):
            feasible = (point_margin >= 0) & (x < self.high[cases])
            self.high[cases[feasible]], self.above[cases[feasible]] = x[feasible], point_margin[feasible]
        for x, point_margin in zip(trials, margins, strict=True):
            infeasible = (point_margin < 0) & (x >= self.low[cases]) & (x < self.high[cases])
            self.low[cases[infeasible]], self.below[cases[infeasible]] = x[infeasible], point_margin[infeasible]
        self.halve[cases] = self.high[cases] - self.low[cases] > 0.5 * width
        outside = np.minimum(np.abs(tried - self.low[cases]), np.abs(tried - self.high[cases]))
        outside[np.isnan(tried_margins) | (outside == 0.0)] = np.inf
        nearest = outside.argmin(axis=0)[None]
        known = np.isfinite(np.take_along_axis(outside, nearest, axis=0)[0])
        for kept, values in ((self.third, tried), (self.third_margin, tried_margins)):
            kept[cases[known]] = np.take_along_axis(values, nearest, axis=0)[0, known]

    def candidates(self, cases: Array, points: int, tolerance: float, many: bool) -> Array:
        """Points to try inside each interval, rising, shape (point, case)."""
        low, high, below, above = (values[cases] for values in (self.low, self.high, self.below, self.above))
        width = high - low
        even = low + width * np.linspace(0.0, 1.0, points + 2)[1:-1, None]
        bisect = self.halve[cases] | np.isnan(below) | np.isnan(above)
        with np.errstate(invalid="ignore", divide="ignore"):
            share = np.where(bisect, 0.5, -below / (above - below))
        root = low + width * np.clip(share, 0.0, 1.0)
        reach = np.maximum(
            0.225 * tolerance * (points - 1), 0.03 * width
        )  # points 0.45 of the tolerance apart, or more
        if many:
            root, reach = self._curved_root(cases, root), np.full(len(cases), 0.45 * tolerance)
        near = root + reach * np.linspace(-1.0, 1.0, points)[:, None]
        inside = np.clip(near, low + 0.02 * width, high - 0.02 * width)
        chosen = np.where(bisect, even, inside)
        if many:
            chosen[0] = np.where(np.isnan(below), low, chosen[0])
        return chosen

    def _curved_root(self, cases: Array, root: Array) -> Array:
        """Root of the curve through both ends and the third point, or the given one where it lies outside them."""
        x = [values[cases] for values in (self.low, self.high, self.third)]
        f = [values[cases] for values in (self.below, self.above, self.third_margin)]
        with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
            terms = (
                x[i] * f[j] * f[k] / ((f[i] - f[j]) * (f[i] - f[k])) for i, j, k in ((0, 1, 2), (1, 0, 2), (2, 0, 1))
            )
            curved = np.sum(list(terms), axis=0)
        return np.where((curved > x[0]) & (curved < x[1]), curved, root)
