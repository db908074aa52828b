"""What the covariance of a calibration says: intervals of factors, one by one and together, and what stays unknown."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from thermal.analysis.factor_parameters import log_factors
from thermal.climate.logger_csv import Log
from thermal.core.arrays import Array
from thermal.plan.model import FactorSpread

Z_95 = 1.96  # standard deviations from the mean to either end of a 95 % interval
# Standard deviation of the logarithm of each factor before anything is logged. Air change: the normalised leakage of
# 90 % of the houses of the USA lies between 0.22 and 1.95 ("Analysis of air leakage measurements of US houses",
# Lawrence Berkeley National Laboratory, abstract), so ln(1.95 / 0.22) / 3.29 = 0.66. The others: our judgement, about
# twice what a plan written with care may be off by, so that a log of two weeks outweighs them.
PRIOR_SD = {"air_change": 0.7, "room": 0.5, "mass": 0.5, "water": 0.5, "cover": 0.5}
OUTSIDE = 0.025  # share of the samples below a 95 % interval, and above it
SAMPLES = 4000  # of factors that agree with a log
WIDEST = np.log(2.5)  # half an interval in the logarithm, above which the log does not determine a factor
LEARNT = 0.7  # standard deviation left over that before, above which the log does not determine a factor
MODEL_SD = 0.05  # of heat and factors, after a calibration: ASHRAE Guideline 14-2014 takes a bias of 5 % as calibrated
NOT_MEASURED_SD = 0.10  # of heat, where no heater's watts were logged: the least without a calibration
MOST_SD = 0.20  # of heat: without a calibration
LEAST_DIFFERENCE_K = 1.0  # between water and outdoors, for the share of an error


@dataclass(frozen=True)
class Estimate:
    """One calibrated factor.

    Attributes
    ----------
    name : str
        A field of `Factors`.
    factor : float
        The best estimate [-].
    low, high : float
        Ends of its 95 % interval [-].
    """

    name: str
    factor: float
    low: float
    high: float


@dataclass(frozen=True)
class Combined:
    """Two factors that a log determines together only.

    Attributes
    ----------
    members : tuple of str
        Fields of `Factors`.
    shares : tuple of float
        Share of each in the plan's heat loss as it was [-].
    factor : float
        Factor on the sum of both losses: the best estimate [-].
    low, high : float
        Ends of its 95 % interval [-].
    w_per_k, w_per_k_low, w_per_k_high : float
        The calibrated sum over the log, and its 95 % interval [W/K].
    """

    members: tuple[str, ...]
    shares: tuple[float, ...]
    factor: float
    low: float
    high: float
    w_per_k: float
    w_per_k_low: float
    w_per_k_high: float


def determines(error: float, prior_sd: float) -> bool:
    """Whether a log determines a factor: narrowly enough, and much more narrowly than was known before."""
    return bool(error * Z_95 <= WIDEST and error <= LEARNT * prior_sd)


def sampled_log_factors(names: tuple[str, ...], shares: Array, parameters: Array, covariance: Array) -> Array:
    """Logarithms of factors that agree with the log, shape (sample, factor).

    Parameters
    ----------
    names : tuple of str
        Names of the factors.
    shares : Array, shape (factor,)
        As in `log_factors`.
    parameters : Array, shape (factor,)
        The best parameters.
    covariance : Array, shape (factor, factor)
        Their covariance.
    """
    stream = np.random.default_rng(0)
    samples: Array = stream.multivariate_normal(parameters, covariance, SAMPLES)
    return log_factors(names, shares, samples)


def estimate(name: str, logarithm: float, samples: Array) -> Estimate:
    """A factor with its interval.

    Parameters
    ----------
    name : str
        Its name.
    logarithm : float
        Its best logarithm.
    samples : Array, shape (sample,)
        Logarithms that agree with the log.
    """
    low, high = np.exp(np.quantile(samples, [OUTSIDE, 1.0 - OUTSIDE]))
    return Estimate(name, float(np.exp(logarithm)), float(low), float(high))


def combined_estimate(
    members: tuple[str, str], shares: tuple[float, float], total: float, error: float, loss_w_per_k: float
) -> Combined | None:
    """The factor on the sum of two losses; None where the log does not determine it.

    Parameters
    ----------
    members : tuple of str
        The two factors.
    shares : tuple of float
        Share of each in the sum as it was [-].
    total : float
        Logarithm of the factor on the sum.
    error : float
        Its standard deviation.
    loss_w_per_k : float
        The sum as it was [W/K].
    """
    prior = math.hypot(*(share * PRIOR_SD[name] for name, share in zip(members, shares, strict=True)))
    if not determines(error, prior):
        return None
    factors = [float(np.exp(total + side * Z_95 * error)) for side in (0, -1, 1)]
    return Combined(members, shares, *factors, *(loss_w_per_k * factor for factor in factors))


def independent_spread(names: tuple[str, ...], covariance: Array, residual: float) -> FactorSpread:
    """Standard deviations with which the factors may be sampled one by one.

    Parameters
    ----------
    names : tuple of str
        The calibrated factors.
    covariance : Array, shape (factor, factor)
        Covariance of their logarithms.
    residual : float
        Standard deviation left on heat [-].

    Factors that a log does not separate are correlated. Sampled one by one with their own standard deviations, they
    would spread what the log knows well: their sum. So each has the standard deviation that it has while the others are
    held.

    Source: mean-field approximation of a normal distribution, Bishop 2006, Pattern Recognition and Machine Learning,
    section 10.1.2 (from memory).
    """
    held = 1.0 / np.sqrt(np.diag(np.linalg.inv(covariance)))
    return FactorSpread(**{f"{name}_sd": float(sd) for name, sd in zip(names, held, strict=True)}, residual=residual)


def residual_sd(log: Log, outdoor_c: Array, held_out_rms_k: float, watts_sd: float) -> float:
    """Standard deviation of the logarithm of the heat needed that stays after a calibration. [-]

    Parameters
    ----------
    log : Log
        The log.
    outdoor_c : Array
        Outdoor temperatures of its hours [degC].
    held_out_rms_k : float
        Error of the temperatures that the calibration did not use [K].
    watts_sd : float
        Standard deviation left on the logarithm of the logged watts [-].

    Heat needed goes with the difference between inside and outdoors, so an error of the temperature counts by its share
    in that.
    """
    inside = log.water_c if log.water_c is not None else log.room_c
    assert inside is not None
    difference = max(abs(float(np.nanmean(inside) - np.mean(outdoor_c))), LEAST_DIFFERENCE_K)
    heated = log.heater_w is not None and float(np.max(log.heater_w)) > 0.0
    least = MODEL_SD if heated else NOT_MEASURED_SD
    return min(math.hypot(least, held_out_rms_k / difference, watts_sd), MOST_SD)
