"""Calibration of a plan to logged temperatures by least squares, and which factors the log does not determine."""

from __future__ import annotations

from dataclasses import asdict, dataclass

import numpy as np
import pandas as pd

from thermal.analysis.calibration_intervals import (
    MODEL_SD,
    PRIOR_SD,
    Combined,
    Estimate,
    combined_estimate,
    determines,
    estimate,
    independent_spread,
    residual_sd,
    sampled_log_factors,
)
from thermal.analysis.case import SimulationCase
from thermal.analysis.factor_parameters import log_factors, pairs_among, shares_of, slopes_of_log_factors
from thermal.analysis.log_simulation import (
    LogProblem,
    Nuisance,
    lasting_hours,
    log_problem,
    loss_per_degree,
    rms,
    robust_sd,
    simulate_log,
    spikes,
)
from thermal.climate.logger_csv import Log
from thermal.core.arrays import Array
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.core.levenberg_marquardt import levenberg_marquardt, soft_l1
from thermal.errors import SizingError
from thermal.plan.calibration_factors import apply_factors
from thermal.plan.model import Factors, FactorSpread, Plan

NAMES = tuple(PRIOR_SD)
STEP = 0.02  # of the finite differences, in the logarithm of a factor
BOUND = np.log(20.0)  # largest logarithm of a factor
# Found beside the factors: start of slab and ground less the room in each stretch of the log [K], error of the water's
# and the room's sensor [K], logarithm of the factor on the logged watts. Common digital sensors are given as exact to
# 0.5 degC (from memory), which we read as two standard deviations; watts, from a rating or a plug meter, likewise to
# 10 % (our judgement).
START_PRIOR_SD, START_STEPS = (5.0, 5.0), (0.2, 0.2)
SENSOR_PRIOR_SD, SENSOR_STEPS = (0.25, 0.25, 0.05), (0.1, 0.1, 0.02)
NUISANCE_BOUND = 4.0  # of these standard deviations
LEAST_SIGMA_K = 0.1  # smallest noise of a measurement with the model's own error; our judgement
MOST_OFF_K = 1.0  # over the hours held out, above which a calibration is refused; our judgement
FARTHEST = 3.0  # standard deviations of its prior beyond which a factor is not believed; our judgement
CORRELATED = 0.9  # correlation from which two factors of one pair cannot be told apart: from 0.95 on, the range of the
# sides left out the truth in 3 of 11 made-up logs that showed it, since humidity outdoors and wind are assumed
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
        The most probable values of all factors together. Those that the log does not determine one by one are good
        together only.
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
class _Parameters:
    """Names of the factors, their losses in the plan as it was [W/K], and the share of each in its pair [-]."""

    names: tuple[str, ...]
    losses: dict[str, float]
    shares: Array


@dataclass(frozen=True)
class _Outputs:
    """Readings of water and room, shape (hour, plan) [degC]; distance from the prior, shape (parameter, plan) [-]."""

    water_c: Array
    room_c: Array
    from_prior: Array


@dataclass(frozen=True)
class _Noise:
    """Noise of water and room [K], and the hours that count as one for each because errors last [h]."""

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
    names, losses = _relevant_factors(case.plan), _loss_as_written(problem)
    parameters = _Parameters(names, losses, shares_of(names, losses))
    best, covariance = _search(problem, parameters)
    result = _calibration(problem, parameters, best, covariance)
    if not result.estimates and not result.combined:
        raise SizingError(
            "this log is not enough to calibrate anything. Log the water, room and outdoor temperatures and the"
            " heater's watts for at least two weeks with some cold days"
        )
    _refuse_the_implausible(result.factors)
    if result.held_out_rms_k > MOST_OFF_K:
        raise SizingError(
            f"even the best calibration is off by {UNIT_SYSTEMS[case.plan.units].difference(result.held_out_rms_k)}"
            " over the last third of the log: something else warms or cools the system. Check that the heater's watts"
            " were logged, and that the plan has the right tank"
        )
    return result


def _refuse_the_implausible(factors: Factors) -> None:
    """Raise where a factor is too far from 1 to be believed."""
    values = asdict(factors)
    for name, prior_sd in PRIOR_SD.items():
        if abs(np.log(values[name])) > FARTHEST * prior_sd:
            raise SizingError(
                f"the plan follows this log only with a heat loss or heat capacity {values[name]:.2g} times its own,"
                " which is not plausible: something else warms or cools the system. Check that the heater's watts were"
                " logged, and that the plan has the right room and tank"
            )


def _relevant_factors(plan: Plan) -> tuple[str, ...]:
    """Factors that matter to a plan: walls and cover only, where the air of the room is given."""
    return NAMES if plan.room.temperature_c is None else ("water", "cover")


def _loss_as_written(problem: LogProblem) -> dict[str, float]:
    """Heat loss of the plan as it was by factor. [W/K]"""
    plan = problem.case.plan
    _, _, runs, nodes = simulate_log(problem, [plan], nuisance_of(np.zeros((1, len(nuisance_prior_sd(problem))))))
    return loss_per_degree(problem, plan, runs, nodes)


def _search(problem: LogProblem, parameters: _Parameters) -> tuple[Array, Array]:
    """The parameters that agree best, and their covariance.

    The first search takes each hour as a measurement of its own. From what it leaves, the second one knows how long
    errors last, and so how few independent measurements there are.
    """
    count, prior_sd = len(parameters.names), nuisance_prior_sd(problem)
    steps = [*START_STEPS * len(problem.log.stretches()), *SENSOR_STEPS]

    def search(noise: _Noise | None, start: Array) -> tuple[Array, Array]:
        return levenberg_marquardt(
            model=lambda tried: _simulate_each(problem, parameters, tried),
            noise=lambda outputs: noise or _Noise(_sigma(problem, outputs), (1.0, 1.0)),
            residuals=lambda outputs, known: _residuals(problem, outputs, known),
            steps=np.array([STEP] * count + steps),
            bound=np.array([BOUND] * count + [NUISANCE_BOUND * sd for sd in prior_sd]),
            start=start,
        )

    first, _ = search(None, np.zeros(count + len(prior_sd)))
    outputs = _simulate_each(problem, parameters, first[None])
    water, room = (
        1.0 if residual is None else lasting_hours(residual) for residual in _fitted_residuals_k(problem, outputs)
    )
    return search(_Noise(_sigma(problem, outputs), (water, room)), first)


def _simulate_each(problem: LogProblem, parameters: _Parameters, candidates: Array) -> _Outputs:
    """Readings of water and room for each row of parameters, and how far the row is from what was expected."""
    names, count = parameters.names, len(parameters.names)
    logarithms = log_factors(names, parameters.shares, candidates[:, :count])
    plans = [apply_factors(problem.case.plan, _factors(names, row)) for row in logarithms]
    water, room, _, _ = simulate_log(problem, plans, nuisance_of(candidates[:, count:]))
    prior_sd = np.array([*(PRIOR_SD[name] for name in names), *nuisance_prior_sd(problem)])
    return _Outputs(water, room, (np.hstack([logarithms, candidates[:, count:]]) / prior_sd).T)


def _factors(names: tuple[str, ...], logarithms: Array) -> Factors:
    """The factors of some logarithms."""
    return Factors(**{name: float(np.exp(value)) for name, value in zip(names, logarithms, strict=True)})


def nuisance_prior_sd(problem: LogProblem) -> tuple[float, ...]:
    """Standard deviations of what is found beside the factors: two for each stretch of the log, and the sensors'."""
    return START_PRIOR_SD * len(problem.log.stretches()) + SENSOR_PRIOR_SD


def nuisance_of(parameters: Array) -> Nuisance:
    """The nuisance parameters of each row, in the order of `nuisance_prior_sd`."""
    starts, (water, room, watts) = parameters[:, : -len(SENSOR_PRIOR_SD)].T, parameters[:, -len(SENSOR_PRIOR_SD) :].T
    return Nuisance(starts[0::2], starts[1::2], water, room, np.exp(watts))


def _residuals_k(problem: LogProblem, outputs: _Outputs, rows: Array) -> list[Array | None]:
    """Measured less simulated temperatures of water and room, shape (hour, plan); None where not logged. [K]"""
    pairs = ((problem.log.water_c, outputs.water_c), (problem.log.room_c, outputs.room_c))
    return [None if logged is None else logged[rows, None] - simulated[rows] for logged, simulated in pairs]


def _fitted_residuals_k(problem: LogProblem, outputs: _Outputs) -> list[Array | None]:
    """The same of the first plan, over the hours calibrated to. [K]"""
    both = _residuals_k(problem, outputs, problem.fitted_rows)
    return [None if residual is None else residual[:, 0] for residual in both]


def _sigma(problem: LogProblem, outputs: _Outputs) -> tuple[float, float]:
    """Noise of water and room from the median of the residuals, which a few spikes do not move. [K]"""
    water, room = (
        LEAST_SIGMA_K if residual is None else max(robust_sd(residual), LEAST_SIGMA_K)
        for residual in _fitted_residuals_k(problem, outputs)
    )
    return water, room


def _residuals(problem: LogProblem, outputs: _Outputs, noise: _Noise) -> Array:
    """Residuals whose squares add up to the robust loss and the prior, shape (measurement, plan). [-]"""
    both = _residuals_k(problem, outputs, problem.fitted_rows)
    parts = [
        soft_l1(residual[np.isfinite(residual[:, 0])] / sigma) / np.sqrt(lasting)
        for residual, sigma, lasting in zip(both, noise.sigma_k, noise.lasting_h, strict=True)
        if residual is not None
    ]
    return np.concatenate([*parts, outputs.from_prior])


def _held_out_rms_k(problem: LogProblem, outputs: _Outputs) -> tuple[float, float]:
    """Root mean square error of the calibrated plan and of the plan as it was, over the hours held out. [K]"""
    water, room = _residuals_k(problem, outputs, problem.held_out_rows)
    residual = water if water is not None else room
    assert residual is not None
    return rms(residual[:, 0]), rms(residual[:, 1])


def _calibration(problem: LogProblem, parameters: _Parameters, best: Array, all_covariance: Array) -> Calibration:
    """The results from the best parameters and their covariance."""
    names, shares, count = parameters.names, parameters.shares, len(parameters.names)
    covariance, watts_sd = all_covariance[:count, :count], float(np.sqrt(all_covariance[-1, -1]))
    outputs = _simulate_each(problem, parameters, np.vstack([best, np.zeros_like(best)]))
    logarithms = log_factors(names, shares, best[None, :count])[0]
    slopes = slopes_of_log_factors(names, shares, best[:count])
    local = slopes @ covariance @ slopes.T
    correlation = local / np.sqrt(np.outer(np.diag(local), np.diag(local)))
    shown = covariance + MODEL_SD**2 * np.eye(count)  # the model's own error widens what is shown
    samples = sampled_log_factors(names, shares, best[:count], shown)
    together, single = _known(parameters, best, shown, correlation, samples)
    fitted = _fitted_residuals_k(problem, outputs)
    after, before = _held_out_rms_k(problem, outputs)
    return Calibration(
        hours=len(problem.log.times),
        estimates=tuple(
            estimate(name, float(logarithms[i]), samples[:, i]) for i, name in enumerate(names) if name in single
        ),
        combined=together,
        factors=_factors(names, logarithms),
        spread=independent_spread(
            names, local, residual_sd(problem.log, problem.forcing.outdoor_c[:, 0], after, watts_sd)
        ),
        cannot_tell=tuple(name for name in names if name not in single),
        tied=_correlated_pairs(names, correlation),
        spikes=_count_spikes(problem, outputs),
        water_rms_k=None if fitted[0] is None else rms(fitted[0]),
        room_rms_k=None if fitted[1] is None else rms(fitted[1]),
        held_out_rms_k=after,
        before_rms_k=before,
        times=problem.log.times,
        water_c=outputs.water_c[:, 0],
        room_c=outputs.room_c[:, 0],
    )


def _known(
    parameters: _Parameters, best: Array, covariance: Array, correlation: Array, samples: Array
) -> tuple[tuple[Combined, ...], set[str]]:
    """Pairs that the log determines together only, and names of the factors that it determines one by one."""
    names, shares, losses = parameters.names, parameters.shares, parameters.losses
    error = np.sqrt(np.diag(covariance))
    single = {name for i, name in enumerate(names) if determines(float(samples[:, i].std()), PRIOR_SD[name])}
    together = []
    for i, j in pairs_among(names):
        a, b = names[i], names[j]
        ratio_is_known = determines(float(error[j]), float(np.hypot(PRIOR_SD[a], PRIOR_SD[b])))
        if correlation[i, j] > -CORRELATED and ratio_is_known:
            continue
        single -= {a, b}
        if a in losses and b in losses:
            share = (float(shares[i]), float(shares[j]))
            together.append(combined_estimate((a, b), share, float(best[i]), float(error[i]), losses[a] + losses[b]))
    return tuple(pair for pair in together if pair is not None), single


def _correlated_pairs(names: tuple[str, ...], correlation: Array) -> tuple[tuple[str, str, float], ...]:
    """Pairs of correlated factors, with their correlation."""
    return tuple(
        (a, b, float(correlation[i, j]))
        for i, a in enumerate(names)
        for j, b in enumerate(names)
        if i < j and abs(correlation[i, j]) > SHOWN
    )


def _count_spikes(problem: LogProblem, outputs: _Outputs) -> int:
    """Temperatures that stand apart from the hours about them."""
    both = _residuals_k(problem, outputs, np.arange(len(problem.log.times)))
    return sum(int(spikes(residual[:, 0]).sum()) for residual in both if residual is not None)
