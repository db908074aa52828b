"""Least squares by the method of Levenberg and Marquardt, for a model that evaluates many points at once."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

import numpy as np

from thermal.core.arrays import Array

ROUNDS = 20
ENOUGH = 1e-6  # relative fall of the sum of squares below which the search ends
FIRST_DAMPING = 1e-3
Outputs = TypeVar("Outputs")
Noise = TypeVar("Noise")


def soft_l1(residual: Array) -> Array:
    """Residuals whose squares add up to the soft-L1 loss, so that a spike counts by its size and not by its square. [-]

    Parameters
    ----------
    residual : Array
        Residuals divided by their noise [-].

    Returns
    -------
    Array, same shape
        sign(r) sqrt(2 (sqrt(1 + r^2) - 1)): r itself where it is small, and its square near 2 |r| where it is large.

    Source: the loss of `scipy.optimize.least_squares(loss="soft_l1")` with `f_scale` 1, in SciPy's documentation.
    """
    return np.asarray(residual / np.sqrt(0.5 * (np.sqrt(1.0 + np.square(residual)) + 1.0)))


def levenberg_marquardt(
    model: Callable[[Array], Outputs],
    noise: Callable[[Outputs], Noise],
    residuals: Callable[[Outputs, Noise], Array],
    steps: Array,
    bound: Array,
    start: Array,
) -> tuple[Array, Array]:
    """Parameters that fit best, and their covariance.

    Each round evaluates the model at the parameters and one step to either side of each (central differences). It then
    tries five dampings a factor of ten apart, and takes the best.

    Parameters
    ----------
    model : callable
        Takes parameters, shape (point, parameter); returns whatever `noise` and `residuals` read.
    noise : callable
        Takes the model's outputs; returns whatever `residuals` needs to know of the noise, at the first point.
    residuals : callable
        Takes the model's outputs and that noise; returns residuals divided by their noise, shape (measurement, point).
    steps : Array, shape (parameter,)
        Step to either side for the central differences.
    bound : Array, shape (parameter,)
        Largest distance of each parameter from zero.
    start : Array, shape (parameter,)
        Where the search begins.

    Returns
    -------
    parameters : Array, shape (parameter,)
        The parameters that fit best.
    covariance : Array, shape (parameter, parameter)
        Their covariance.

    Source: Marquardt 1963, J. SIAM 11:431.
    """
    count = len(steps)
    parameters, damping = np.array(start, dtype=float), FIRST_DAMPING
    normal = np.zeros((count, count))
    for _ in range(ROUNDS):
        outputs = model(np.vstack([parameters, parameters + np.diag(steps), parameters - np.diag(steps)]))
        sigma = noise(outputs)
        residual = residuals(outputs, sigma)
        slopes = (residual[:, 1 : count + 1] - residual[:, count + 1 :]) / (2.0 * steps)
        normal, gradient = slopes.T @ slopes, slopes.T @ residual[:, 0]
        dampings = damping * 10.0 ** np.arange(-1, 4)
        moves = [-np.linalg.solve(normal + np.diag(d * np.diag(normal) + 1e-9), gradient) for d in dampings]
        candidates = np.clip(parameters + np.array(moves), -bound, bound)
        costs = np.square(residuals(model(candidates), sigma)).sum(axis=0)
        best = int(np.argmin(costs))
        if costs[best] >= np.square(residual[:, 0]).sum() * (1.0 - ENOUGH):
            break
        parameters, damping = candidates[best], float(dampings[best])
    return parameters, np.linalg.inv(normal + np.diag(np.full(count, 1e-9)))
