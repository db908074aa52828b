"""The search against SciPy's, with and without the soft-L1 loss."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import least_squares

from thermal.core.levenberg_marquardt import levenberg_marquardt, soft_l1

HOURS = np.linspace(0.0, 10.0, 60)
TRUTH = np.array([1.0, 0.3])
SIGMA = 0.05


def cooling(parameters):
    """exp(a) exp(-b t) for each row."""
    a, b = np.atleast_2d(parameters).T
    return np.exp(a - b * HOURS[:, None])


def measured(spikes: int):
    stream = np.random.default_rng(3)
    values = cooling(TRUTH)[:, 0] + stream.normal(0.0, SIGMA, len(HOURS))
    values[stream.choice(len(HOURS), spikes, replace=False)] += 20.0
    return values


def found(values, loss):
    return levenberg_marquardt(
        model=cooling,
        noise=lambda _: SIGMA,
        residuals=lambda outputs, sigma: loss((values[:, None] - outputs) / sigma),
        steps=np.full(2, 1e-3),
        bound=np.full(2, 5.0),
        start=np.zeros(2),
    )


@pytest.mark.parametrize("spikes", [0, 6])
@pytest.mark.parametrize(("loss", "name"), [(lambda r: r, "linear"), (soft_l1, "soft_l1")])
def test_it_finds_what_scipy_finds(spikes, loss, name):
    """Both start at zero; parameters agree to 2e-3 of 1."""
    values = measured(spikes)
    theirs = least_squares(lambda p: (values - cooling(p)[:, 0]) / SIGMA, np.zeros(2), loss=name)
    assert found(values, loss)[0] == pytest.approx(theirs.x, abs=2e-3)


def test_spikes_move_the_soft_loss_little_and_the_squares_far():
    clean, robust = found(measured(0), soft_l1)[0], found(measured(6), soft_l1)[0]
    assert robust == pytest.approx(clean, abs=0.02)
    assert np.abs(found(measured(6), lambda r: r)[0] - clean).max() > 0.1


def test_soft_l1_is_scipys_loss():
    """rho(z) = 2 (sqrt(1 + z) - 1) of z = r^2, in SciPy's documentation of `least_squares`."""
    r = np.array([-100.0, -1.0, -1e-4, 0.0, 0.5, 30.0])
    assert np.square(soft_l1(r)) == pytest.approx(2.0 * (np.sqrt(1.0 + r**2) - 1.0), rel=1e-6, abs=1e-9)
    assert np.array_equal(np.sign(soft_l1(r)), np.sign(r))


def test_the_covariance_is_that_of_the_slopes():
    """Against (J'J)^-1 with SciPy's own Jacobian."""
    values = measured(0)
    theirs = least_squares(lambda p: (values - cooling(p)[:, 0]) / SIGMA, np.zeros(2))
    assert found(values, lambda r: r)[1] == pytest.approx(np.linalg.inv(theirs.jac.T @ theirs.jac), rel=0.01)
