"""Packages of measures together with one other way to heat or run the system.

A way takes part where it has a price. Alone it is one of the alternatives. Together with measures it is simulated
where it saves money by itself: with every package of a short list, or else with the packages of best value.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from thermal.analysis.alternatives import HEAT_PUMP, OTHER_HEATERS, alternative_settings, with_heat_pump
from thermal.analysis.case import SimulationCase
from thermal.analysis.comparison_results import Alternative, DesignResult, Package
from thermal.analysis.measure_packages import package_of, package_plans, pareto_front
from thermal.analysis.way_prices import price_of_way
from thermal.plan.model import Plan
from thermal.plan.reader import variant

MOST_PACKAGES = 16  # packages of measures that are all combined with the other ways
WORTH = 0.005  # saving from which a way is combined [currency]
Combination = tuple[str, int]  # name of the other way, and index of the package of measures


def combinations(plan: Plan, packages: Sequence[Package], others: Sequence[Alternative]) -> tuple[Combination, ...]:
    """The ways and packages of measures to simulate together.

    Parameters
    ----------
    plan : Plan
        The plan.
    packages : sequence of Package
        Every package of its measures.
    others : sequence of Alternative
        Its alternatives.
    """
    names = {
        other.name for other in others if other.price is not None and other.needed_w is not None and other.saves > WORTH
    }
    front = range(len(packages)) if len(packages) <= MOST_PACKAGES else pareto_front(tuple(packages))
    chosen = sorted(index for index in front if index > 0)
    return tuple(
        (name, index)
        for index, changed in zip(chosen, package_plans(plan, chosen), strict=True)
        for name, _, _ in alternative_settings(changed)
        if name in names
    )


def combined_plans(plan: Plan, combined: Sequence[Combination]) -> list[Plan]:
    """The plan with the measures and the other way of each combination.

    Parameters
    ----------
    plan : Plan
        The plan.
    combined : sequence of (str, int)
        From `combinations`.
    """
    indices = sorted({index for _, index in combined})
    changed = dict(zip(indices, package_plans(plan, indices), strict=True))
    settings = {index: {name: keys for name, _, keys in alternative_settings(changed[index])} for index in indices}
    return [variant(changed[index], settings[index][name]) for name, index in combined]


def ways_alone(others: Sequence[Alternative], results: Sequence[DesignResult], bare: DesignResult) -> list[Package]:
    """A package of each alternative that has a price, without measures.

    Parameters
    ----------
    others : sequence of Alternative
        Alternatives of a plan, apart from the heat pump.
    results : sequence of DesignResult
        Their results, in order.
    bare : DesignResult
        The plan as written.
    """
    return [
        package_of((), other.price, _own(result, other.name), bare, other.name)
        for other, result in zip(others, results, strict=True)
        if other.price is not None
    ]


def ways_with_measures(
    plan: Plan, packages: Sequence[Package], combined: Sequence[Combination], results: Sequence[DesignResult]
) -> list[Package]:
    """The package of each combination.

    Parameters
    ----------
    plan : Plan
        The plan.
    packages : sequence of Package
        Every package of its measures.
    combined : sequence of (str, int)
        From `combinations`.
    results : sequence of DesignResult
        Results of `combined_plans`, in order.
    """
    joined, bare = [], packages[0].result
    for (name, index), changed, result in zip(combined, combined_plans(plan, combined), results, strict=True):
        price, measures = price_of_way(changed, name, result.needed_w), packages[index]
        if price is not None:
            joined.append(package_of(measures.measures, measures.cost + price, _own(result, name), bare, name))
    return joined


def heat_pump_packages(case: SimulationCase, packages: Sequence[Package]) -> list[Package]:
    """Every package of measures with a heat pump, where a heat pump has a price.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    packages : sequence of Package
        Every package of its measures, with heat weighted by `heat_pump_weights`.
    """
    with_pump, results = [], with_heat_pump(case, [package.result for package in packages])
    for package, result in zip(packages, results, strict=True):
        price = price_of_way(case.plan, HEAT_PUMP, result.needed_w)
        if price is not None:
            with_pump.append(package_of(package.measures, package.cost + price, result, packages[0].result, HEAT_PUMP))
    return with_pump


def _own(result: DesignResult, way: str) -> DesignResult:
    """A result that does not count the heaters owned where the way has heaters of its own."""
    return replace(result, owned_holds=False) if way in OTHER_HEATERS and result.owned_holds else result
