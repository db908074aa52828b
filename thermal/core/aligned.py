"""Arrays whose rows begin at a cache line of the processor.

numpy places an array at any address, and rows that cross cache lines are read more slowly: for 2,048 designs that
costs 5 %. A row is the last axis, one value for each column of the batch.
"""

from __future__ import annotations

import math

import numpy as np

from thermal.core.arrays import Array, Precision

LINE_BYTES = 64


def aligned_zeros(shape: tuple[int, ...], precision: Precision) -> Array:
    """Zeros at an address where a cache line begins.

    Parameters
    ----------
    shape : tuple of int
        Shape of the array. Every row begins at a cache line when the last axis fills whole lines of 64 bytes.
    precision : type
        `numpy.float32` or `float`.

    Returns
    -------
    Array
        Of the given shape and precision.
    """
    size = math.prod(shape) * np.dtype(precision).itemsize
    memory = np.zeros(size + LINE_BYTES, np.uint8)
    first = -memory.ctypes.data % LINE_BYTES
    return memory[first : first + size].view(precision).reshape(shape)


def aligned_copy(values: Array, precision: Precision) -> Array:
    """Copy of an array at an address where a cache line begins.

    Parameters
    ----------
    values : Array
        Array to copy, of any shape.
    precision : type
        Precision of the copy, `numpy.float32` or `float`.

    Returns
    -------
    Array
        Of the same shape as `values`.
    """
    copy = aligned_zeros(values.shape, precision)
    copy[...] = values
    return copy
