"""When a falling quantity first meets a limit: one definition for every command."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array


def hours_until(curve_c: Array, limit_c: Array | float) -> Array:
    """Time until each column first falls to a limit. [h]

    Parameters
    ----------
    curve_c : Array, shape (hour, column)
        Temperatures, the first row at the start [degC].
    limit_c : Array or float, shape (column,)
        The limit [degC].

    Returns
    -------
    Array, shape (column,)
        Linear between hours; infinite where the limit is not reached.

    Examples
    --------
    >>> import numpy as np
    >>> hours_until(np.array([[10.0, 10.0], [9.0, 9.9], [7.0, 9.8]]), 8.0).tolist()
    [1.5, inf]
    """
    below = curve_c <= limit_c
    first = np.argmax(below, axis=0)
    columns = np.arange(curve_c.shape[1])
    before = curve_c[np.maximum(first - 1, 0), columns]
    drop = before - curve_c[first, columns]
    fraction = np.where(drop > 0, (before - limit_c) / np.where(drop > 0, drop, 1.0), 0.0)
    hours = np.where(first > 0, first - 1 + fraction, 0.0)
    return np.where(below.any(axis=0), hours, np.inf)
