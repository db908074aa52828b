"""The elimination against LAPACK (numpy.linalg.solve), for networks of any shape."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermal.solver.linear_solve import (
    ROWWISE,
    allocate,
    eliminate,
    factorisation,
    fill_pattern,
    substitute,
    trailing_submatrix,
)


@given(
    seed=st.integers(0, 10_000), nodes=st.integers(2, 8), designs=st.sampled_from([1, 3, 16, ROWWISE]), data=st.data()
)
def test_temperatures_and_watts_are_lapacks(seed, nodes, designs, data):
    chosen = np.random.default_rng(seed)
    pairs = [(i, j) for i in range(nodes) for j in range(i + 1, nodes) if chosen.random() < 0.5]
    once = data.draw(st.integers(0, nodes - 1))
    net, matrix = allocate(nodes, designs), np.zeros((designs, nodes, nodes))
    net.diagonal[:] = chosen.uniform(0.5, 2.0, (nodes, designs))
    for i, j in pairs:
        conductance = chosen.uniform(0.1, 5.0, designs)
        net.rows[i][j - i - 1] = conductance
        net.diagonal[i] += conductance
        net.diagonal[j] += conductance
        matrix[:, i, j] = matrix[:, j, i] = -conductance
    matrix[:, range(nodes), range(nodes)] = net.diagonal.T
    heat, watts = chosen.uniform(-5.0, 5.0, (nodes, designs)), chosen.uniform(0.0, 3.0, designs)
    wanted = np.linalg.solve(matrix, (heat + np.eye(nodes)[-1][:, None] * watts).T[..., None])[..., 0].T

    rhs, pattern = np.zeros((nodes, designs)), fill_pattern(pairs, nodes)
    before = factorisation(net, pattern, 0, rhs, until=once)
    eliminate(before)
    factors = factorisation(trailing_submatrix(net, once, float), pattern, once, rhs, before=before)
    eliminate(factors)
    for reached in (watts, np.zeros(designs)):  # the heater at its least, and asked for just the setpoint
        np.copyto(rhs, heat)
        given_w = np.zeros(designs)
        target = factors.diagonal * wanted[-1]
        substitute(factors, rhs[-1], target, (reached, np.maximum(reached, 4.0), None), given_w)
        np.testing.assert_allclose(rhs, wanted, rtol=1e-9, atol=1e-9)
        assert given_w == pytest.approx(watts, abs=1e-9)


def test_patterns_skip_what_comes_before_the_first_link():
    assert fill_pattern([(0, 1), (1, 3), (1, 4), (2, 4)], 5) == (
        range(1, 2),
        range(3, 5),
        range(4, 5),
        range(4, 5),
        range(5, 5),
    )
