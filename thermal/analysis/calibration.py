"""Calibration of a plan to logged temperatures by least squares, and which factors the log does not determine."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from thermal.analysis.calibration_intervals import (
    COMBINED_PAIRS, PRIOR_SD, Combined, Estimate, combined, estimate, independent_spread, is_determined, residual_sd,
)  # fmt: skip
from thermal.analysis.case import SimulationCase
from thermal.analysis.log_simulation import (
    LogProblem, Nuisance, autocorrelation, log_problem, loss_per_degree, rms, robust_sd, simulate_log, spikes,
)  # fmt: skip
from thermal.climate.logger_csv import Log
from thermal.core.arrays import Array
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.core.levenberg_marquardt import levenberg_marquardt, soft_l1
from thermal.errors import SizingError
from thermal.plan.calibration_factors import apply_factors
from thermal.plan.model import Factors, FactorSpread, Plan

NAMES = tuple(PRIOR_SD)
STEP = 0.02  # of the finite differences, in the logarithm of a factor
# Found beside the factors: start of slab and ground less the room [K], error of the water's and the room's sensor [K],
# logarithm of the factor on the logged watts. Common digital sensors are given as exact to 0.5 degC (from memory), which
# we read as two standard deviations; watts from a rating or a plug meter to 10 % at most (our judgement), read likewise.
NUISANCE_PRIOR_SD = (5.0, 5.0, 0.25, 0.25, 0.05)
NUISANCE_STEPS = (0.2, 0.2, 0.1, 0.1, 0.02)
LEAST_SIGMA_K = 0.1  # smallest noise of a measurement with the model's own error; our judgement
MOST_OFF_K = 1.0  # over the hours held out, above which a calibration is refused; our judgement
CORRELATED = 0.95  # correlation from which two factors cannot be told apart
SHOWN = 0.8  # correlation from which a pair is listed


@dataclass(frozen=True)
class Calibration:
    """Factors calibrated to a log, and how well the plan then agrees with the log.

    Attributes
    ----------
    hours : int
        Hours of the log.
    estimates : tuple of Estimate
        Factors that the log determines one by one.
    combined : tuple of Combined
        Pairs of factors that the log determines together only.
    factors : Factors
        The most probable values of all factors together, with those that the log does not determine one by one: they are
        good together, and those stay near 1.
    spread : FactorSpread
        How far the factors and the heat needed may still be off: for `spread`.
    cannot_tell : tuple of str
        Names of the factors that the log does not determine one by one.
    tied : tuple of (str, str, float)
        Correlated pairs of factors, with their correlation [-].
    spikes : int
        Temperatures in the log that stand apart from the hours about them.
    water_rms_k, room_rms_k : float or None
        Root mean square of measured less simulated temperature over the hours calibrated to, without spikes [K]; None
        where not logged.
    held_out_rms_k : float
        The same for the water (or the room, where the water was not logged) over the last third of the log, which the
        calibration does not use [K].
    before_rms_k : float
        The same over the last third with the plan as it was [K].
    times : pandas.DatetimeIndex
        Start of each hour, local standard time.
    water_c, room_c : Array, shape (hour,)
        Temperatures that the sensors would read with the calibrated factors [degC].
    """

    hours: int
    estimates: tuple[Estimate, ...]
    combined: tuple[Combined, ...]
    factors: Factors
    spread: FactorSpread
    cannot_tell: tuple[str, ...]
    tied: tuple[tuple[str, str, float], ...]
    spikes: int
    water_rms_k: float | None
    room_rms_k: float | None
    held_out_rms_k: float
    before_rms_k: float
    times: pd.DatetimeIndex
    water_c: Array
    room_c: Array


@dataclass(frozen=True)
class _Noise:
    """Noise of water and room [K], and the hours that count as one for each because errors last."""

    sigma_k: tuple[float, float]
    lasting_h: tuple[float, float]


def calibrate(case: SimulationCase, log: Log) -> Calibration:
    """Factors of a plan that agree best with a log.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    log : Log
        Hourly temperatures and heater power from a data logger.

    Raises
    ------
    SizingError
        When the log is too short, determines no factor, or disagrees with the plan even after calibration; or when
        neither the log nor the climate has the outdoor temperatures of its days.
    """
    problem = log_problem(case, log)
    names = _relevant_factors(case.plan)
    theta, covariance = _fitted_parameters(problem, names)
    result = _calibration(problem, names, theta, covariance[: len(names), : len(names)])
    if not result.estimates and not result.combined:
        raise SizingError(
            "this log is not enough to calibrate anything. Log the water, room and outdoor temperatures and the"
            " heater's watts for at least two weeks with some cold days"
        )
    if result.held_out_rms_k > MOST_OFF_K:
        raise SizingError(
            f"even the best calibration is off by {UNIT_SYSTEMS[case.plan.units].difference(result.held_out_rms_k)}"
            " over the last third of the log: something else warms or cools the system. Check that the heater's watts"
            " were logged, and that the plan has the right tank"
        )
    return result


def _relevant_factors(plan: Plan) -> tuple[str, ...]:
    """Factors that matter to a plan: walls and cover only, where the air of the room is given."""
    return NAMES if plan.room.temperature_c is None else ("water", "cover")


def _fitted_parameters(problem: LogProblem, names: tuple[str, ...]) -> tuple[Array, Array]:
    """Logarithms of the factors and the nuisance parameters that agree best, and their covariance.

    The first search takes each hour as a measurement of its own. From what it leaves, the second one knows how long
    errors last, and so how few independent measurements there are.
    """
    prior_sd = np.array([*(PRIOR_SD[name] for name in names), *NUISANCE_PRIOR_SD])

    def search(noise: _Noise | None, start: Array) -> tuple[Array, Array]:
        return levenberg_marquardt(
            model=lambda tried: _simulate_each(problem, names, tried),
            noise=lambda outputs: noise or _Noise(_sigma(problem, outputs), (1.0, 1.0)),
            residuals=lambda outputs, known: _residuals(problem, outputs, known),
            steps=np.array([STEP] * len(names) + list(NUISANCE_STEPS)),
            prior_sd=prior_sd,
            start=start,
        )

    first, _ = search(None, np.zeros(len(prior_sd)))
    outputs = _simulate_each(problem, names, first[None])
    lasting = tuple(
        1.0 if residual is None else (1.0 + autocorrelation(residual)) / (1.0 - autocorrelation(residual))
        for residual in _fitted_residuals_k(problem, outputs)
    )
    return search(_Noise(_sigma(problem, outputs), (lasting[0], lasting[1])), first)


def _simulate_each(problem: LogProblem, names: tuple[str, ...], candidates: Array) -> tuple[Array, Array]:
    """Readings of water and room for each row of parameters, shape (hour, row). [degC]"""
    plans = [apply_factors(problem.case.plan, _factors(names, candidate)) for candidate in candidates]
    water, room, _, _ = simulate_log(problem, plans, _nuisance(candidates[:, len(names) :]))
    return water, room


def _factors(names: tuple[str, ...], theta: Array) -> Factors:
    """The factors of some logarithms."""
    return Factors(**{name: float(np.exp(value)) for name, value in zip(names, theta, strict=False)})


def _nuisance(parameters: Array) -> Nuisance:
    """The nuisance parameters of each row."""
    slab, ground, water, room, watts = parameters.T
    return Nuisance(slab, ground, water, room, np.exp(watts))


def _residuals_k(problem: LogProblem, outputs: tuple[Array, Array], rows: Array) -> list[Array | None]:
    """Measured less simulated temperatures of water and room, shape (hour, plan); None where not logged. [K]"""
    measured = (problem.log.water_c, problem.log.room_c)
    return [
        None if logged is None else logged[rows, None] - simulated[rows]
        for logged, simulated in zip(measured, outputs, strict=True)
    ]


def _fitted_residuals_k(problem: LogProblem, outputs: tuple[Array, Array]) -> list[Array | None]:
    """The same of the first plan, over the hours calibrated to. [K]"""
    both = _residuals_k(problem, outputs, problem.fitted_rows)
    return [None if residual is None else residual[:, 0] for residual in both]


def _sigma(problem: LogProblem, outputs: tuple[Array, Array]) -> tuple[float, float]:
    """Noise of water and room from the median of the residuals, which a few spikes do not move. [K]"""
    water, room = (
        LEAST_SIGMA_K if residual is None else max(robust_sd(residual), LEAST_SIGMA_K)
        for residual in _fitted_residuals_k(problem, outputs)
    )
    return water, room


def _residuals(problem: LogProblem, outputs: tuple[Array, Array], noise: _Noise) -> Array:
    """Residuals whose squares add up to the robust loss, shape (measurement, plan). [-]"""
    both = _residuals_k(problem, outputs, problem.fitted_rows)
    return np.concatenate([
        soft_l1(residual[np.isfinite(residual[:, 0])] / sigma) / np.sqrt(lasting)
        for residual, sigma, lasting in zip(both, noise.sigma_k, noise.lasting_h, strict=True)
        if residual is not None
    ])  # fmt: skip


def _not_separable(correlation: Array, names: tuple[str, ...], name: str) -> bool:
    """Whether a factor's log cannot be told from another factor of the same two places."""
    i = names.index(name)
    others = [names.index(other) for pair in COMBINED_PAIRS if name in pair for other in pair if other in names]
    return any(correlation[i, j] < -CORRELATED for j in others)


def _held_out_rms_k(problem: LogProblem, outputs: tuple[Array, Array]) -> tuple[float, float]:
    """Root mean square error of the calibrated plan and of the plan as it was, over the hours held out. [K]"""
    water, room = _residuals_k(problem, outputs, problem.held_out_rows)
    residual = water if water is not None else room
    assert residual is not None
    return rms(residual[:, 0]), rms(residual[:, 1])


def _calibration(problem: LogProblem, names: tuple[str, ...], theta: Array, covariance: Array) -> Calibration:
    """The results from the fitted parameters and the covariance of the factors."""
    factors = _factors(names, theta)
    plan = apply_factors(problem.case.plan, factors)
    nuisance = _nuisance(np.vstack([theta[len(names) :], np.zeros(len(NUISANCE_PRIOR_SD))]))
    water, room, run, nodes = simulate_log(problem, [plan, problem.case.plan], nuisance)
    losses = loss_per_degree(problem, plan, run, nodes)
    error = np.sqrt(np.diag(covariance))
    correlation = covariance / np.outer(error, error)
    sure = {name: is_determined(error[i], PRIOR_SD[name]) for i, name in enumerate(names)}
    pairs = [
        combined(pair, names, theta, covariance, losses)
        for pair in COMBINED_PAIRS
        if set(pair) <= set(names) & set(losses)
        and (
            correlation[names.index(pair[0]), names.index(pair[1])] < -CORRELATED
            or not (sure[pair[0]] or sure[pair[1]])
        )
    ]
    known = tuple(pair for pair in pairs if pair is not None)
    apart = [_not_separable(correlation, names, name) for name in names]
    single = [name for i, name in enumerate(names) if sure[name] and not apart[i]]
    fitted = _fitted_residuals_k(problem, (water, room))
    held_out = _held_out_rms_k(problem, (water, room))
    return Calibration(
        hours=len(problem.log.times),
        estimates=tuple(
            estimate(name, float(theta[i]), float(error[i])) for i, name in enumerate(names) if name in single
        ),
        combined=known,
        factors=factors,
        spread=independent_spread(names, covariance, residual_sd(problem.log, problem.forcing.outdoor_c, held_out[0])),
        cannot_tell=tuple(name for name in names if name not in single),
        tied=tuple(
            (a, b, float(correlation[i, j]))
            for i, a in enumerate(names)
            for j, b in enumerate(names)
            if i < j and abs(correlation[i, j]) > SHOWN
        ),
        spikes=sum(
            int(spikes(logged - simulated[:, 0]).sum())
            for logged, simulated in ((problem.log.water_c, water), (problem.log.room_c, room))
            if logged is not None
        ),
        water_rms_k=None if fitted[0] is None else rms(fitted[0]),
        room_rms_k=None if fitted[1] is None else rms(fitted[1]),
        held_out_rms_k=held_out[0],
        before_rms_k=held_out[1],
        times=problem.log.times,
        water_c=water[:, 0],
        room_c=room[:, 0],
    )
