"""The smallest number for which something holds; knows nothing of heaters."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from thermal.air import Array

WIDTH = 48  # candidates tried side by side: a batch costs little more than one


def smallest(holds: Callable[[Array], Array], low: float, high: float, tolerance: float) -> float:
    """Smallest x in [low, high] with `holds` true, to within a tolerance; the true side is returned.

    Parameters
    ----------
    holds : callable
        Takes an array of candidates, gives an array of truths; false below some x and true above.
        `high` must hold, and is not asked.
    """
    while high - low > tolerance:
        tried = np.linspace(low, high, WIDTH + 1)[1:-1]
        true = np.flatnonzero(holds(tried))
        first = int(true[0]) if true.size else len(tried)
        ends = np.concatenate([[low], tried, [high]])
        low, high = float(ends[first]), float(ends[first + 1])
    return high
