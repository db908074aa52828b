"""The law that the solver evaluates in its own way against the plain law of `thermal.physics`."""

from __future__ import annotations

import numpy as np

from thermal.physics.freezing import water_and_ice
from thermal.solver.tuned_laws import freeze


def test_freezing_in_place_is_the_plain_law():
    generator, shape = np.random.default_rng(7), (2, 500)
    water_c, ice_j = generator.uniform(-0.5, 0.5, shape), generator.choice([0.0, 1e6], shape)
    capacity, limit = generator.uniform(1e5, 5e6, shape), np.full(shape, 2e6)
    capacity[0, :50] = 0.0  # a drained bed
    expected_c, expected_j = water_and_ice(water_c, ice_j, capacity, limit)
    held_c = water_c.copy()
    ice, given_j = freeze(held_c, ice_j, capacity, limit)
    np.testing.assert_allclose(held_c, expected_c, atol=1e-12)
    np.testing.assert_allclose(ice, expected_j, rtol=1e-12)
    np.testing.assert_allclose(given_j, expected_j - ice_j, rtol=1e-12, atol=1e-9)
