from __future__ import annotations

import numpy as np
import pytest

from thermal.physics.inner_radiation import radiant_star_conductances
from thermal.physics.radiation import radiative_coefficient

BLACK = float(radiative_coefficient(20.0, 1.0))


def exact_heat(emissivity: float, view: np.ndarray, excess_k: np.ndarray) -> np.ndarray:
    """Heat that each surface of 1 m2 gives off, by radiosity: J = e E + (1 - e) F J, q = e (E - F J). [W]"""
    emitted = BLACK * excess_k
    radiosity = np.linalg.solve(np.eye(len(view)) - (1.0 - emissivity) * view, emissivity * emitted)
    return emissivity * (emitted - view @ radiosity)


@pytest.mark.parametrize("emissivity", [1.0, 0.9, 0.1])
def test_one_warm_side_of_a_cube_gives_off_what_the_radiosity_method_says(emissivity):
    """Sides that all see each other alike; the view factors of a real cube are 0.1998 and 0.2004."""
    view, excess_k = (np.ones((6, 6)) - np.eye(6)) / 5.0, np.eye(6)[0]
    star = radiant_star_conductances([1.0] * 6, [emissivity] * 6, 20.0)
    heat = star * (excess_k - (star @ excess_k) / star.sum())
    np.testing.assert_allclose(heat, exact_heat(emissivity, view, excess_k), rtol=1e-9)


def test_a_small_surface_sees_itself_in_nothing():
    small = radiant_star_conductances([0.001, 30.0, 30.0, 30.0], [0.8, 1.0, 1.0, 1.0], 20.0)
    assert small[0] / 0.001 == pytest.approx(float(radiative_coefficient(20.0, 0.8)), rel=1e-3)
