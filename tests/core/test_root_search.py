"""The smallest feasible number, against the root of functions that are known in closed form."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thermal.core.root_search import smallest_feasible

TOLERANCE = 0.5


@given(
    st.lists(st.tuples(st.floats(0.0, 1.0), st.floats(0.2, 4.0)), min_size=1, max_size=60),
    st.sampled_from([None, (0.7, 0.95), (0.05, 0.35)]),
    st.booleans(),
)
@settings(max_examples=60, deadline=None)
def test_the_root_of_rising_curves_is_found(cases, bracket, high_is_feasible):
    """A curve (x / 1000) ** power - share ** power has its root at 1000 share, between 0 and 1000."""
    share, power = np.array(cases).T
    tried = []

    def margin(index, x):
        tried.append(x)
        return (x / 1000.0) ** power[index] - share[index] ** power[index]

    low, high = np.zeros(len(share)), np.full(len(share), 1000.0)
    roots = smallest_feasible(margin, low, high, TOLERANCE, high_is_feasible, bracket)
    assert np.all(roots >= 1000.0 * share - 1e-9)
    assert np.all(roots <= 1000.0 * share + TOLERANCE)
    assert len(tried) < 30


@pytest.mark.parametrize("bracket", [None, (0.7, 0.95)])
def test_nothing_is_needed_where_the_low_end_is_feasible(bracket):
    at_once = smallest_feasible(lambda _, x: x + 1.0, np.zeros(3), np.full(3, 900.0), 1.0, initial_bracket=bracket)
    assert at_once.tolist() == [0.0, 0.0, 0.0]


def test_no_number_is_feasible():
    none = smallest_feasible(lambda _, x: x - 2000.0, np.zeros(2), np.full(2, 900.0), 1.0, high_is_feasible=False)
    assert np.isinf(none).all()
