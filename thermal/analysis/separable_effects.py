"""Effects of measures at other minimum water temperatures, and where they are separable from the temperature.

Every package is simulated at the plan's minimum, and the plan without measures at every minimum. A package at another
minimum is estimated: the effect of each measure, a factor on heater, energy and cost, is multiplied by those of the
others. The factors come from a few combinations that are simulated: each measure alone, and all measures, at two other
minima. Some packages between these are simulated too. Where the estimate misses them by more than it may, it is not
used.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from thermal.analysis.comparison_results import DesignResult, SeparableEffects
from thermal.analysis.measure_packages import package_plans, subsets
from thermal.analysis.minimum_temperature_sweep import swept_floors, with_floor
from thermal.core.arrays import Array
from thermal.plan.model import Plan

COOLER_K, WARMER_K = -2.0, 4.0  # from the plan's minimum to those simulated with measures
ROUNDING_K = 1e-6  # 50 degF is not exactly 10 degC
TOLERANCE = 0.03  # largest error of an estimate [-]
ERROR_GROWTH = 1.25  # largest error of any package over the largest of those simulated, from trials with ready plans
FIGURES = ("needed_w", "kwh", "cost")


def simulated_floors(plan: Plan) -> tuple[float, ...]:
    """The coolest and the warmest minimum within `COOLER_K` and `WARMER_K` of the plan's, where there is one. [degC]"""
    own_c, swept = plan.keep.floor_c, swept_floors(plan)
    cooler = [floor_c for floor_c in swept if own_c + COOLER_K - ROUNDING_K <= floor_c < own_c - ROUNDING_K]
    warmer = [floor_c for floor_c in swept if own_c + ROUNDING_K < floor_c <= own_c + WARMER_K + ROUNDING_K]
    return (*cooler[:1], *warmer[-1:])


def simulated_subsets(measures: int) -> list[tuple[int, ...]]:
    """Indices of the measures in each package to simulate at another minimum: each alone, some, and all."""
    if not measures:
        return []
    everything = tuple(range(measures))
    half = measures // 2
    between = (everything[:-1], everything[1:], everything[:half], everything[half:])
    wanted = {(index,) for index in everything} | {one for one in between if one} | {everything}
    return sorted(wanted, key=lambda one: (len(one), one))


def combinations_at(plan: Plan) -> list[tuple[float, tuple[int, ...]]]:
    """Minimum water temperature [degC] and measures of each combination to simulate."""
    chosen = simulated_subsets(len(plan.measures))
    return [(floor_c, one) for floor_c in simulated_floors(plan) for one in chosen]


def combination_plans(plan: Plan) -> list[Plan]:
    """The plan with the measures and the minimum of each of `combinations_at`."""
    wanted = combinations_at(plan)
    numbers = _numbers(len(plan.measures))
    packages = package_plans(plan, [numbers[one] for _, one in wanted])
    return [with_floor(package, floor_c) for package, (floor_c, _) in zip(packages, wanted, strict=True)]


def separable_effects(
    plan: Plan, packages: Sequence[DesignResult], floors: Sequence[DesignResult], simulated: Sequence[DesignResult]
) -> SeparableEffects:
    """Effects of the measures at other minimum temperatures where they are separable.

    Parameters
    ----------
    plan : Plan
        The plan.
    packages, floors, simulated : sequence of DesignResult
        Results of `package_plans`, `floor_plans` and `combination_plans`, in order.
    """
    at_floor = dict(zip(swept_floors(plan), floors, strict=True))
    chosen, own_c = simulated_subsets(len(plan.measures)), plan.keep.floor_c
    measured, reach = {}, {}
    for number, end_c in enumerate(simulated_floors(plan) if chosen else ()):
        there = dict(zip(chosen, simulated[number * len(chosen) :], strict=False))
        effects = _effects_at(plan, packages, at_floor[end_c], there)
        if effects is not None:
            measured[end_c - own_c], error = effects
            reach[end_c - own_c] = min(1.0, TOLERANCE / max(ERROR_GROWTH * error, 1e-9)) * (end_c - own_c)
    shifts = [floor_c - own_c for floor_c in at_floor if _within(floor_c - own_c, reach.values())]
    steps = np.array(shifts)[:, None]
    logarithms = {
        figure: _through(measured, figure, steps) if shifts else np.zeros((0, len(plan.measures) + 1))
        for figure in FIGURES
    }
    return SeparableEffects(
        tuple(own_c + shift for shift in shifts),
        {figure: tuple(tuple(row) for row in rows.tolist()) for figure, rows in logarithms.items()},
    )


def estimate(logarithms: Sequence[float] | Array, chosen: tuple[int, ...], ratio: float, ratio_of_all: float) -> float:
    """Factor of a package at another minimum, over its factor at the plan's minimum. [-]

    Parameters
    ----------
    logarithms : sequence of float
        One row of `SeparableEffects.logarithms`.
    chosen : tuple of int
        Indices of the package's measures.
    ratio, ratio_of_all : float
        Figure of the package, and of all measures together, over that of the plan without measures, at the plan's
        minimum [-].

    Notes
    -----
    What all measures have together beyond the product of their factors counts by the square of the package's share in
    the logarithm of their saving: the number of pairs among measures grows so. A fit, without a source.
    """
    share = np.log(ratio) / np.log(ratio_of_all) if ratio_of_all != 1.0 else 0.0
    together = logarithms[-1] * np.clip(share, 0.0, 1.0) ** 2
    return float(np.exp(sum(logarithms[index] for index in chosen) + together))


def _effects_at(
    plan: Plan, packages: Sequence[DesignResult], bare: DesignResult, there: dict[tuple[int, ...], DesignResult]
) -> tuple[dict[str, Array], float] | None:
    """Logarithms of each figure at one minimum, and the largest error of the estimates there; None where undefined."""
    numbers, count = _numbers(len(plan.measures)), len(plan.measures)
    effects, worst = {}, 0.0
    for figure in FIGURES:
        here = {one: getattr(packages[numbers[one]], figure) for one in ((), *there)}
        values = {one: getattr(result, figure) for one, result in there.items()}
        values[()] = getattr(bare, figure)
        if any(value is None or value <= 0.0 for value in (*here.values(), *values.values())):
            return None
        change = {one: np.log(values[one] / here[one]) - np.log(values[()] / here[()]) for one in values}
        alone = [change[(index,)] for index in range(count)]
        everything = tuple(range(count))
        effects[figure] = np.array([*alone, change[everything] - sum(alone)])
        of_all = here[everything] / here[()]
        factors = {one: estimate(effects[figure], one, here[one] / here[()], of_all) for one in there}
        worst = max(worst, *(abs(factors[one] / np.exp(change[one]) - 1.0) for one in there))
    return effects, worst


def _through(measured: dict[float, dict[str, Array]], figure: str, steps: Array) -> Array:
    """Logarithms at each step from the plan's minimum, (step, measure): a parabola through zero and those measured."""
    (first, one), *others = ((shift, effects[figure]) for shift, effects in measured.items())
    if not others:
        return np.asarray(one * steps / first)
    second, other = others[0]
    curve = (one / first - other / second) / (first - second)
    slope = one / first - curve * first
    return np.asarray(slope * steps + curve * steps**2)


def _within(shift: float, reach: Iterable[float]) -> bool:
    """Whether a step from the plan's minimum is not zero and within a reach on its side."""
    return any(0.0 < shift / end <= 1.0 + 1e-9 for end in reach)


def _numbers(measures: int) -> dict[tuple[int, ...], int]:
    """Index of each package by its measures."""
    return {chosen: number for number, chosen in enumerate(subsets(measures))}
