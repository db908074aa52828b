"""Arrays whose rows begin where a line of the processor's cache does.

numpy's own begin anywhere, and rows that straddle lines are read at half the speed once they have left the first
cache. A row is the last axis: one value a column of the batch.
"""

from __future__ import annotations

import math

import numpy as np

from thermal.core.arrays import Array, Precision

LINE_BYTES = 64
LINE_COLUMNS = 16  # in single precision; two lines in double


def aligned_zeros(shape: tuple[int, ...], precision: Precision) -> Array:
    """Zeros that begin with a line. Their rows do too when they fill whole lines."""
    size = math.prod(shape) * np.dtype(precision).itemsize
    memory = np.zeros(size + LINE_BYTES, np.uint8)
    first = -memory.ctypes.data % LINE_BYTES
    return memory[first : first + size].view(precision).reshape(shape)


def aligned_copy(values: Array, precision: Precision) -> Array:
    """A copy that begins with a line."""
    copy = aligned_zeros(values.shape, precision)
    copy[...] = values
    return copy


def padded_indices(designs: int, winters: int) -> Array:
    """Indices of the designs, the last repeated until the columns of all winters fill whole lines."""
    if 1 < designs * winters <= LINE_COLUMNS:
        return np.arange(designs)
    whole = LINE_COLUMNS // math.gcd(winters, LINE_COLUMNS)
    return np.minimum(np.arange(-(-designs // whole) * whole), designs - 1)
