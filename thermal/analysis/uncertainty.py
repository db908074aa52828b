"""Uncertainty: presets and given ranges sampled, intervals of the figures, and which input to measure first."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from statistics import NormalDist

import numpy as np

from thermal import data
from thermal.analysis.comparison_results import DesignResult, Interval, Sensitivity, Uncertainty
from thermal.analysis.heater_units import installed_heaters, watts_to_buy
from thermal.climate.forcing import SunAndSky
from thermal.climate.season_basis import TYPICAL, SeasonBasis
from thermal.core.arrays import Array
from thermal.core.distributions import NORMAL_95, TriangularRange, quantile
from thermal.data.uncertain_inputs import uncertain_inputs
from thermal.plan.calibration_factors import inputs_replaced_by_calibration
from thermal.plan.model import Plan
from thermal.plan.presets import Sampler
from thermal.plan.reader import plan_of, plans_for_samplers, variant, with_settings

LOW, HIGH = 0.05, 0.95  # quantiles of an interval
ENOUGH = 0.9  # of the samples, in which the heaters to buy hold the minimum
WINTER, OTHER = "the winter", "everything else"
SUN, SUN_FROM_CLOUD = "sun: ", "sun: from cloud"  # how names of inputs begin that count under a sun only; one of them
NOT_READ = SunAndSky("", "assumed")
TOTAL_LN_SD, LEAST_OTHER_LN_SD = 0.23, 0.10
ROUNDING_W = 1e-6
FIELDS = {  # name of a figure, and its field of a DesignResult
    "coldest_unheated_c": "coldest_unheated_c", "needed_w": "needed_w", "kwh": "kwh", "cost": "cost",
    "worst_kwh": "worst_kwh", "worst_cost": "worst_cost", "hours_to_floor": "outage_h",
}  # fmt: skip


def unknowns(
    plan: Plan, humidity_assumed: bool = True, outdoors: SunAndSky = NOT_READ, ground_assumed: bool = False
) -> dict[str, TriangularRange]:
    """Low, likely and high value of every uncertain input of a plan by its name.

    They are presets, inputs that no plan knows, and ranges in the plan.

    Parameters
    ----------
    plan : Plan
        The plan.
    humidity_assumed : bool
        Whether the weather file has no humidity, so that it is uncertain too.
    outdoors : SunAndSky
        What is counted of sun and sky; as of a weather file that has neither where it was not read.
    ground_assumed : bool
        Whether the weather file is too short to tell the yearly mean outdoors.
    """
    by_name: dict[str, TriangularRange] = {}
    own = {unknown.key for unknown in plan.unknowns}
    stated = {row.name for row in uncertain_inputs().values() if row.key in own}
    replaced = inputs_replaced_by_calibration(plan)
    if not humidity_assumed:
        stated.add("humidity outdoors")
    if not ground_assumed:
        stated.add("ground: yearly mean outdoors")
    stated |= _without_use(plan, outdoors)

    def note_range(name: str, spread: TriangularRange) -> float:
        counts = bool(outdoors.sun) or not name.startswith(SUN)
        if spread[0] != spread[2] and name not in stated and counts and not name.startswith(replaced):
            by_name.setdefault(name, spread)
        return spread[1]

    variant(plan, {}, note_range)
    for unknown in plan.unknowns:
        by_name[unknown.name] = (unknown.low, unknown.likely, unknown.high)
    return by_name


def _without_use(plan: Plan, outdoors: SunAndSky) -> set[str]:
    """Uncertain inputs of sun and sky that this weather file or plan has no use for."""
    names = set() if outdoors.sun == "cloud" else {SUN_FROM_CLOUD}
    counts = plan.climate.sky and plan.room.temperature_c is None and outdoors.sky == "assumed"
    return names if counts else names | {"sky below the air"}


def sampled_plans(plan: Plan, samples_by_name: dict[str, Array], numbers: Sequence[int]) -> list[Plan]:
    """The plan once for each sample, without its measures.

    Parameters
    ----------
    plan : Plan
        The plan.
    samples_by_name : dict of str to Array, shape (sample,)
        Samples of each unknown, from 0 to 1 [-].
    numbers : sequence of int
        Indices of the samples wanted.

    Raises
    ------
    PlanError
        When the values of a sample do not fit the plan.
    """
    document = {**plan.source, "measure": [], "unknown": []}
    samplers = [_sampler(samples_by_name, i) for i in numbers]
    if plan.unknowns:
        results = [plan_of(with_settings(document, _given(plan, sampler)), "unknown", sampler) for sampler in samplers]
    else:
        results = plans_for_samplers(document, samplers)
    return [replace(result, units=plan.units, source=plan.source) for result in results]


def _sampler(samples_by_name: dict[str, Array], i: int) -> Sampler:
    """The sampler that gives the values of one sample."""
    return lambda name, spread: quantile(samples_by_name[name][i], spread) if name in samples_by_name else spread[1]


def _given(plan: Plan, sampler: Sampler) -> dict[str, object]:
    """Settings of the plan file for one sample of the plan's own unknowns."""
    return {
        unknown.key: unknown.value(sampler(unknown.name, (unknown.low, unknown.likely, unknown.high)))
        for unknown in plan.unknowns
    }


def dimensions(
    plan: Plan, humidity_assumed: bool = True, outdoors: SunAndSky = NOT_READ, ground_assumed: bool = False
) -> list[str]:
    """Names of all that a sample varies: the uncertain inputs, the winter, and what no input stands for.

    Parameters
    ----------
    plan, humidity_assumed, outdoors, ground_assumed
        As in `unknowns`.
    """
    return [*unknowns(plan, humidity_assumed, outdoors, ground_assumed), WINTER, OTHER]


def summarise(
    plan: Plan,
    samples_by_name: dict[str, Array],
    likely: DesignResult,
    results: Sequence[DesignResult],
    seed: int,
    season: SeasonBasis = TYPICAL,
) -> Uncertainty:
    """Intervals and sensitivities of the samples of a plan.

    A sample's energy and cost are those of the winter that it drew, among the complete winters. What no input stands
    for is a factor on heat: it multiplies power, energy and cost, and divides times.

    Parameters
    ----------
    plan : Plan
        The plan.
    samples_by_name : dict of str to Array, shape (sample,)
        Samples of each of the `dimensions`, from 0 to 1 [-].
    likely : DesignResult
        Result of the plan as written.
    results : sequence of DesignResult
        Result of each sample.
    seed : int
        Seed of the samples.
    season : SeasonBasis
        The winter behind energy and cost.
    """
    figures, other_ln_sd = sample_figures(samples_by_name, results, plan.fit_spread.residual)
    bands = {
        name: _band(float(getattr(likely, FIELDS[name])), values)
        for name, values in figures.items()
        if np.isfinite(values).all() and getattr(likely, FIELDS[name]) is not None and _is_known(name, season)
    }
    needed_w = figures["needed_w"]
    enough_w = float(np.quantile(needed_w, ENOUGH)) if np.isfinite(needed_w).mean() > ENOUGH else None
    heaters = installed_heaters(plan, watts_to_buy(plan, likely.needed_w or 0.0, enough_w))
    drivers, r2 = _drivers(samples_by_name, needed_w, figures["kwh"])
    return Uncertainty(
        samples=len(results),
        seed=seed,
        bands=bands,
        chance_holds=float(np.mean(needed_w <= sum(heaters) + ROUNDING_W)),
        heater_w=heaters,
        drivers=drivers,
        enough_w=enough_w,
        heater_r2=r2[0],
        kwh_r2=r2[1],
        other_ln_sd=other_ln_sd,
        season=season,
    )


def _is_known(figure: str, season: SeasonBasis) -> bool:
    """Whether there are enough complete winters for a figure."""
    least = {"kwh": 1, "cost": 1, "worst_kwh": 2, "worst_cost": 2}
    return season.complete >= least.get(figure, 0)


def sample_figures(
    samples_by_name: dict[str, Array], results: Sequence[DesignResult], known_sd: float | None = None
) -> tuple[dict[str, Array], float]:
    """Each figure in every sample, and the standard deviation of the logarithm of what no input stands for.

    Parameters
    ----------
    samples_by_name : dict of str to Array, shape (sample,)
        Samples of each of the `dimensions`, from 0 to 1 [-].
    results : sequence of DesignResult
        Result of each sample, energy and cost in its own winter.
    known_sd : float, optional
        Standard deviation of the logarithm of what no input stands for, from a calibration [-].

    Returns
    -------
    figures : dict of str to Array, shape (sample,)
        By name of the figure; infinite where it has none.
    other_ln_sd : float
        On the heater needed [-].
    """
    values = {name: _values([getattr(result, field) for result in results]) for name, field in FIELDS.items()}
    of_inputs = "needed_w", "worst_kwh"  # which scatter by the inputs alone, not by the winter
    power_sd, energy_sd = (other_sd(values[name]) if known_sd is None else known_sd for name in of_inputs)
    score = _normal_scores(samples_by_name[OTHER])
    power, energy = np.exp(power_sd * score), np.exp(energy_sd * score)
    values["needed_w"] = values["needed_w"] * power
    values["hours_to_floor"] = values["hours_to_floor"] / power
    for name in ("kwh", "cost", "worst_kwh", "worst_cost"):
        values[name] = values[name] * energy
    return values, power_sd


def other_sd(values: Array) -> float:
    """Standard deviation of the logarithm of what no input stands for, from the samples of a figure without it. [-]

    Parameters
    ----------
    values : Array, shape (sample,)
        The figure [any unit].

    Notes
    -----
    sqrt(0.23^2 - s^2), at least 0.10, s the standard deviation of the logarithm of the samples.

    Source: metered heat of about 25 systems scatters by 0.25 of the logarithm (quality A and B), less what a plan
    states 0.20 to 0.25; gathered from growers' reports, no published source.
    """
    positive = values[np.isfinite(values) & (values > 0)]
    inputs_sd = float(np.log(positive).std()) if positive.size > 1 else 0.0
    return math.sqrt(max(TOTAL_LN_SD**2 - inputs_sd**2, LEAST_OTHER_LN_SD**2))


def enough_power(samples_by_name: dict[str, Array], needed_w: Array, known_sd: float | None = None) -> float | None:
    """Power that is enough in 9 of 10 samples; None where no heater is enough in one sample of 10. [W]

    Parameters
    ----------
    samples_by_name : dict of str to Array, shape (sample,)
        Samples of each of the `dimensions`, from 0 to 1 [-].
    needed_w : Array, shape (sample,)
        Heater needed in each sample, without what no input stands for [W].
    known_sd : float, optional
        As in `sample_figures`.
    """
    if np.isfinite(needed_w).mean() <= ENOUGH:
        return None
    spread = other_sd(needed_w) if known_sd is None else known_sd
    return float(np.quantile(needed_w * np.exp(spread * _normal_scores(samples_by_name[OTHER])), ENOUGH))


def _values(column: list[float | None]) -> Array:
    """A figure of all samples, infinite where a sample has none, shape (sample,)."""
    return np.array([math.inf if value is None else value for value in column], dtype=float)


def _normal_scores(u: Array) -> Array:
    """Quantiles of the standard normal distribution."""
    return np.array([NormalDist().inv_cdf(value) for value in u])


def _band(likely: float, values: Array) -> Interval:
    """Interval of a figure."""
    low, middle, high = np.quantile(values, [LOW, 0.5, HIGH])
    return Interval(likely, float(low), float(middle), float(high))


def _drivers(
    samples_by_name: dict[str, Array], needed_w: Array, kwh: Array
) -> tuple[tuple[Sensitivity, ...], tuple[float | None, float | None]]:
    """Uncertain inputs by their share in the variance of heater and energy, the largest first, and R2 of the fits.

    The slopes are those of a linear fit to the samples, on the normal scores of the inputs.
    """
    scores = np.column_stack([_normal_scores(u) for u in samples_by_name.values()])
    scores = (scores - scores.mean(axis=0)) / scores.std(axis=0)
    figures = np.column_stack([needed_w, kwh])
    valid = np.isfinite(figures).all(axis=1)
    if valid.sum() <= len(samples_by_name) + 1:
        return (), (None, None)
    y = figures[valid] - figures[valid].mean(axis=0)
    slopes = np.linalg.lstsq(scores[valid], y, rcond=None)[0]
    left = np.square(y - scores[valid] @ slopes).sum(axis=0)
    r2 = 1.0 - left / np.maximum(np.square(y).sum(axis=0), 1e-30)
    share = np.square(slopes) / np.maximum(np.square(slopes).sum(axis=0), 1e-30)
    ranked = np.argsort(-share.mean(axis=1))
    names = list(samples_by_name)
    drivers = tuple(
        Sensitivity(
            name=names[i],
            share=float(share[i].mean()),
            heater_w=NORMAL_95 * abs(float(slopes[i, 0])),
            kwh=NORMAL_95 * abs(float(slopes[i, 1])),
            measure_it=data.measurement(names[i]),
        )
        for i in ranked
    )
    return drivers, (float(r2[0]), float(r2[1]))
