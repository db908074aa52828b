"""Aligned arrays: a row of whole lines begins where a line of the cache does."""

from __future__ import annotations

import numpy as np
import pytest

from thermal.core.aligned import LINE_BYTES, aligned_copy, aligned_zeros


@pytest.mark.parametrize("precision", [np.float32, float])
def test_rows_of_whole_lines_begin_with_a_line(precision):
    rows = aligned_zeros((3, 5, 32), precision)
    assert (rows == 0.0).all()
    assert rows.dtype == precision
    assert {row.ctypes.data % LINE_BYTES for block in rows for row in block} == {0}


def test_a_copy_is_a_copy():
    values = np.arange(6.0).reshape(2, 3)
    copy = aligned_copy(values, np.float32)
    copy[0, 0] = 9.0
    assert values[0, 0] == 0.0
    np.testing.assert_array_equal(copy[1], values[1].astype(np.float32))
    assert copy.ctypes.data % LINE_BYTES == 0
