"""Rows on cache lines, and batches filled up to them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermal.core.aligned import LINE_BYTES, LINE_COLUMNS, aligned_copy, aligned_zeros, padded_indices


@pytest.mark.parametrize("precision", [np.float32, float])
@pytest.mark.parametrize("shape", [(3,), (2, 48), (4, 2, 16), (0, 5)])
def test_blank_rows_begin_with_a_line(shape, precision):
    rows = aligned_zeros(shape, precision)
    assert rows.shape == shape
    assert rows.dtype == precision
    assert not rows.any()
    assert rows.ctypes.data % LINE_BYTES == 0 or not rows.size
    assert rows.flags.c_contiguous
    assert rows.flags.writeable


def test_placed_copies():
    values = np.arange(6.0).reshape(2, 3)
    copy = aligned_copy(values, np.float32)
    values[:] = 0.0
    np.testing.assert_array_equal(copy, [[0.0, 1.0, 2.0], [3.0, 4.0, 5.0]])


@given(designs=st.integers(1, 3000), winters=st.integers(1, 40))
def test_filled_keeps_every_design_and_fills_lines(designs, winters):
    every = padded_indices(designs, winters)
    np.testing.assert_array_equal(every[:designs], np.arange(designs))
    assert (every[designs:] == designs - 1).all()
    assert len(every) - designs < LINE_COLUMNS
    assert 1 < len(every) * winters <= LINE_COLUMNS or len(every) * winters % LINE_COLUMNS == 0
