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

from thermal.analysis.comparison_results import DesignResult, FloorStep, Package, SeparableEffects
from thermal.core.arrays import Array

COOLER_K, WARMER_K = -2.0, 4.0  # from the plan's minimum to those simulated with measures
ROUNDING_K = 1e-6  # 50 degF is not exactly 10 degC
TOLERANCE = 0.03  # largest error of an estimate [-]
ERROR_GROWTH = 1.25  # largest error of any package over the largest of those simulated, from trials with ready plans
FIGURES = ("needed_w", "kwh", "cost")


def simulated_floors(own_c: float, floors_c: Iterable[float]) -> tuple[float, ...]:
    """The coolest and the warmest of some minima within `COOLER_K` and `WARMER_K` of the plan's, where any. [degC]"""
    shifts = {floor_c: floor_c - own_c for floor_c in sorted(floors_c)}
    cooler = [floor_c for floor_c, shift in shifts.items() if COOLER_K - ROUNDING_K <= shift < -ROUNDING_K]
    warmer = [floor_c for floor_c, shift in shifts.items() if ROUNDING_K < shift <= WARMER_K + ROUNDING_K]
    return (*cooler[:1], *warmer[-1:])


def simulated_subsets(measures: int) -> list[tuple[int, ...]]:
    """Indices of the measures in each package to simulate at another minimum: each alone, some, and all."""
    if not measures:
        return []
    everything = tuple(range(measures))
    half = measures // 2
    between = (everything[:-1], everything[1:], everything[:half], everything[half:])
    alone = {(index,) for index in everything}
    return sorted({everything, *alone, *(some for some in between if some)}, key=lambda some: (len(some), some))


def separable_effects(
    names: Sequence[str],
    own_c: float,
    packages: Sequence[Package],
    steps: Sequence[FloorStep],
    simulated: Sequence[DesignResult],
) -> SeparableEffects:
    """Effects of the measures at other minimum temperatures where they are separable.

    Parameters
    ----------
    names : sequence of str
        The measures, in the plan's order.
    own_c : float
        The plan's minimum water temperature [degC].
    packages : sequence of Package
        Every package at the plan's minimum, the plan without measures first.
    steps : sequence of FloorStep
        The plan without measures at every minimum.
    simulated : sequence of DesignResult
        Each of `simulated_subsets` at the first of `simulated_floors`, then at the second.
    """
    by_names = {frozenset(package.measures): package.result for package in packages}
    chosen = simulated_subsets(len(names))
    here = {some: by_names[frozenset(names[index] for index in some)] for some in ((), *chosen)}
    bare = {step.floor_c: step.result for step in steps}
    measured: dict[float, dict[str, Array]] = {}
    reach = []
    for number, end_c in enumerate(simulated_floors(own_c, bare) if chosen else ()):
        there = dict(zip(chosen, simulated[number * len(chosen) :], strict=False))
        effects = _effects_at(here, {(): bare[end_c], **there})
        if effects is not None:
            measured[end_c - own_c], error = effects
            reach.append(min(1.0, TOLERANCE / max(ERROR_GROWTH * error, 1e-9)) * (end_c - own_c))
    floors_c = [floor_c for floor_c in bare if _within(floor_c - own_c, reach)]
    shifts = np.array(floors_c)[:, None] - own_c
    return SeparableEffects(
        tuple(floors_c),
        {figure: tuple(tuple(row) for row in _through(measured, figure, shifts).tolist()) for figure in FIGURES}
        if floors_c
        else dict.fromkeys(FIGURES, ()),
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
    here: dict[tuple[int, ...], DesignResult], there: dict[tuple[int, ...], DesignResult]
) -> tuple[dict[str, Array], float] | None:
    """Logarithms of each figure at another minimum, and the largest error of the estimates; None where undefined."""
    everything = max(there, key=len)
    effects, worst = {}, 0.0
    for figure in FIGURES:
        before, after = ({some: getattr(results[some], figure) for some in there} for results in (here, there))
        if any(value is None or value <= 0.0 for value in (*before.values(), *after.values())):
            return None
        change = {some: np.log(after[some] / before[some]) - np.log(after[()] / before[()]) for some in there}
        alone = [change[(index,)] for index in everything]
        effects[figure] = np.array([*alone, change[everything] - sum(alone)])
        of_all = before[everything] / before[()]
        factors = {some: estimate(effects[figure], some, before[some] / before[()], of_all) for some in there}
        worst = max(worst, *(abs(factors[some] / np.exp(change[some]) - 1.0) for some in there))
    return effects, float(worst)


def _through(measured: dict[float, dict[str, Array]], figure: str, steps: Array) -> Array:
    """Logarithms at each step from the plan's minimum, (step, measure): a parabola through zero and those measured."""
    (first, at_first), *others = ((shift, effects[figure]) for shift, effects in measured.items())
    if not others:
        return np.asarray(at_first * steps / first)
    second, at_second = others[0]
    curve = (at_first / first - at_second / second) / (first - second)
    slope = at_first / first - curve * first
    return np.asarray(slope * steps + curve * steps**2)


def _within(shift: float, reach: Iterable[float]) -> bool:
    """Whether a step from the plan's minimum is not zero and within a reach on its side."""
    return any(0.0 < shift / end <= 1.0 + 1e-9 for end in reach)
