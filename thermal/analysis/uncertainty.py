"""Uncertainty: presets and given ranges sampled, intervals of the figures, and which input to measure first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from thermal import data
from thermal.analysis.comparison_results import DesignResult, Interval, Sensitivity, Uncertainty
from thermal.analysis.heater_units import installed_heaters, watts_to_buy
from thermal.core.arrays import Array
from thermal.core.distributions import NORMAL_95, TriangularRange, quantile
from thermal.data.uncertain_inputs import uncertain_inputs
from thermal.plan.model import Plan
from thermal.plan.presets import Sampler
from thermal.plan.reader import plan_of, plans_for_samplers, variant, with_settings

LOW, HIGH = 0.05, 0.95  # quantiles of an interval

ROUNDING_K = 1e-6


def unknowns(plan: Plan, humidity_assumed: bool = True) -> dict[str, TriangularRange]:
    """Low, likely and high value of every uncertain input of a plan by its name.

    They are presets, inputs that no plan knows, and ranges in the plan.

    Parameters
    ----------
    plan : Plan
        The plan.
    humidity_assumed : bool
        Whether the weather file has no humidity, so that it is uncertain too.
    """
    by_name: dict[str, TriangularRange] = {}
    own = {unknown.key for unknown in plan.unknowns}
    stated = {row.name for row in uncertain_inputs().values() if row.key in own}
    if not humidity_assumed:
        stated.add("humidity outdoors")

    def note_range(name: str, spread: TriangularRange) -> float:
        if spread[0] != spread[2] and name not in stated:
            by_name.setdefault(name, spread)
        return spread[1]

    variant(plan, {}, note_range)
    for unknown in plan.unknowns:
        by_name[unknown.name] = (unknown.low, unknown.likely, unknown.high)
    return by_name


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


def summarise(
    plan: Plan, samples_by_name: dict[str, Array], likely: DesignResult, results: Sequence[DesignResult], seed: int
) -> Uncertainty:
    """Intervals and sensitivities of the samples of a plan.

    Parameters
    ----------
    plan : Plan
        The plan.
    samples_by_name : dict of str to Array, shape (sample,)
        Samples of each unknown, from 0 to 1 [-].
    likely : DesignResult
        Result of the plan as written.
    results : sequence of DesignResult
        Result of each sample.
    seed : int
        Seed of the samples.
    """
    all_results = [likely, *results]
    figures: dict[str, list[float | None]] = {
        "coldest_unheated_c": [result.coldest_unheated_c for result in all_results],
        "needed_w": [result.needed_w for result in all_results],
        "kwh": [result.kwh for result in all_results],
        "cost": [result.cost for result in all_results],
        "worst_kwh": [result.worst_kwh for result in all_results],
        "worst_cost": [result.worst_cost for result in all_results],
        "hours_to_floor": [result.outage_h for result in all_results],
    }
    bands = {name: _band(values) for name, values in figures.items() if None not in values}  # type: ignore[arg-type]
    holds = [result.coldest_c >= result.floor_c - ROUNDING_K for result in results]
    heater_w = installed_heaters(plan, watts_to_buy(plan, likely.needed_w or 0.0))
    drivers = _drivers(samples_by_name, results) if samples_by_name and len(results) > len(samples_by_name) + 1 else ()
    return Uncertainty(len(results), seed, bands, float(np.mean(holds)), heater_w, drivers)


def _band(values: Sequence[float]) -> Interval:
    """Interval of a figure; the first value is that of the plan as written."""
    low, middle, high = np.quantile(np.array(values[1:], dtype=float), [LOW, 0.5, HIGH])
    return Interval(float(values[0]), float(low), float(middle), float(high))


def _drivers(samples_by_name: dict[str, Array], results: Sequence[DesignResult]) -> tuple[Sensitivity, ...]:
    """Uncertain inputs by their share in the variance of heater and energy, the largest first.

    The slopes are those of a linear fit to the samples.
    """
    u = np.column_stack([(value - value.mean()) / value.std() for value in samples_by_name.values()])
    figures = np.array([[result.needed_w or np.nan, result.kwh] for result in results])
    valid = np.isfinite(figures).all(axis=1)
    if valid.sum() <= len(samples_by_name) + 1:
        return ()
    y = figures[valid] - figures[valid].mean(axis=0)
    slopes = np.linalg.lstsq(u[valid], y, rcond=None)[0]
    share = np.square(slopes) / np.maximum(np.square(slopes).sum(axis=0), 1e-30)
    ranked = np.argsort(-share.mean(axis=1))
    names = list(samples_by_name)
    return tuple(
        Sensitivity(
            name=names[i],
            share=float(share[i].mean()),
            heater_w=NORMAL_95 * abs(float(slopes[i, 0])),
            kwh=NORMAL_95 * abs(float(slopes[i, 1])),
            measure_it=data.measurement(names[i]),
        )
        for i in ranked
    )
