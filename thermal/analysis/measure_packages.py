"""Packages of insulation measures: what each package saves, which are best value, and which measure to take first."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import combinations

from thermal.analysis.comparison_results import DesignResult, Package, PackageComparison, RankedMeasure
from thermal.plan.model import Plan
from thermal.plan.reader import variant


def package_plans(plan: Plan, numbers: Sequence[int] | None = None) -> list[Plan]:
    """The plan with every subset of its measures: without measures first, smaller subsets before larger ones.

    Parameters
    ----------
    plan : Plan
        The plan.
    numbers : sequence of int, optional
        Indices of the subsets wanted; all where not given.

    Raises
    ------
    PlanError
        When the settings of a package do not fit the plan together.
    """
    chosen = subsets(len(plan.measures))
    return [_variant(plan, chosen[number]) for number in (range(len(chosen)) if numbers is None else numbers)]


def measure_packages(plan: Plan, results: Sequence[DesignResult]) -> tuple[Package, ...]:
    """Every package of a plan's measures, in the order of `package_plans`.

    Parameters
    ----------
    plan : Plan
        The plan.
    results : sequence of DesignResult
        Results of `package_plans`, in order.
    """
    measures = plan.measures
    return tuple(
        package_of(tuple(measures[m].name for m in chosen), sum(measures[m].cost for m in chosen), result, results[0])
        for chosen, result in zip(subsets(len(measures)), results, strict=True)
    )


def compare_packages(
    plan: Plan, results: Sequence[DesignResult], budget: float | None = None, with_ways: Sequence[Package] = ()
) -> PackageComparison:
    """All packages of a plan's measures, and the best choices among them.

    Parameters
    ----------
    plan : Plan
        The plan.
    results : sequence of DesignResult
        Results of `package_plans`, in order.
    budget : float, optional
        Largest price of a package [currency], for the one that costs least to run within it.
    with_ways : sequence of Package
        Packages with another way to heat or run the system; they take part in every choice but the ranking of measures.
    """
    of_measures = measure_packages(plan, results)
    packages = (*of_measures, *with_ways)
    return PackageComparison(
        packages=packages,
        pareto_front=pareto_front(packages),
        with_owned=_cheapest(packages, lambda package: bool(package.result.owned_holds)),
        on_circuit=_cheapest(
            packages, lambda package: bool(package.result.fits) and package.result.needed_w is not None
        ),
        in_budget=None if budget is None else _best_within(packages, budget),
        ranking=_ranking(of_measures, [measure.name for measure in plan.measures]),
    )


def subsets(count: int) -> list[tuple[int, ...]]:
    """Every subset of the indices, smaller ones first, the empty one at the start."""
    return [chosen for size in range(count + 1) for chosen in combinations(range(count), size)]


def first_of_equals(plan: Plan) -> list[int]:
    """For each package, in the order of `package_plans`, the first one that sets the same keys to the same values.

    Alternatives set the same key, such as 50 and 100 mm of foam on one tank: of two in a package the later one applies,
    and the package is as good as without the other.

    Parameters
    ----------
    plan : Plan
        The plan.
    """
    first: dict[str, int] = {}
    settings = (_settings(plan, chosen) for chosen in subsets(len(plan.measures)))
    return [first.setdefault(repr(list(keys.items())), number) for number, keys in enumerate(settings)]


def _settings(plan: Plan, chosen: tuple[int, ...]) -> dict[str, object]:
    """What some measures set together; where two set the same key the later one applies."""
    settings: dict[str, object] = {}
    for index in chosen:
        own = plan.measures[index].set
        settings = {key: value for key, value in settings.items() if key not in own} | own
    return settings


def _variant(plan: Plan, chosen: tuple[int, ...]) -> Plan:
    """The plan with some measures."""
    return variant(plan, _settings(plan, chosen))


def package_of(
    measures: tuple[str, ...], cost: float, result: DesignResult, bare: DesignResult, way: str = ""
) -> Package:
    """A package with its saving against the plan without measures.

    Parameters
    ----------
    measures : tuple of str
        Names of its measures.
    cost : float
        Price of the package [currency].
    result : DesignResult
        The plan with the package.
    bare : DesignResult
        The plan without measures.
    way : str
        Name of the other way to heat or run the system; empty for none.
    """
    saves = bare.cost - result.cost
    return Package(measures, cost, result, saves, cost / saves if saves > 0 and cost > 0 else None, way)


def pareto_front(packages: tuple[Package, ...]) -> tuple[int, ...]:
    """Indices of the packages than which no other is cheaper both to buy and to run, by rising price."""
    order = sorted(range(len(packages)), key=lambda i: (packages[i].cost, packages[i].result.cost))
    kept: list[int] = []
    for i in order:
        package = packages[i]
        if package.result.needed_w is None:
            continue
        if not kept or package.result.cost < packages[kept[-1]].result.cost - 0.005:
            kept.append(i)
    return tuple(kept)


def _cheapest(packages: tuple[Package, ...], is_suitable: Callable[[Package], bool]) -> int | None:
    """Index of the cheapest package that meets a condition; None where none does."""
    suitable = [i for i, package in enumerate(packages) if is_suitable(package)]
    return min(suitable, key=lambda i: (packages[i].cost, packages[i].result.cost), default=None)


def _best_within(packages: tuple[Package, ...], budget: float) -> int | None:
    """Index of the package within a budget that costs least to run; None where there is none."""
    affordable = [
        i for i, package in enumerate(packages) if package.cost <= budget and package.result.needed_w is not None
    ]
    return min(affordable, key=lambda i: packages[i].result.cost, default=None)


def _ranking(packages: tuple[Package, ...], names: list[str]) -> tuple[RankedMeasure, ...]:
    """Measures in the order of saving for their price, until no measure saves any more."""
    by_names = {frozenset(package.measures): package for package in packages}
    current, ranked = packages[0], []
    while left := [name for name in names if name not in current.measures]:
        tried = [(name, by_names[frozenset((*current.measures, name))]) for name in left]
        candidates = [(name, package) for name, package in tried if package.result.needed_w is not None]
        if not candidates or packages[0].result.needed_w is None:  # without a heater there is no cost to save from
            break
        name, best = max(candidates, key=lambda pair: _worth(current, pair[1]))
        if best.saves - current.saves <= 0.005:
            break
        ranked.append(RankedMeasure(name, best.cost - current.cost, best.saves - current.saves, best))
        current = best
    return tuple(ranked)


def _worth(current: Package, candidate: Package) -> float:
    """Saving of a winter for each unit of money spent. [-]"""
    return (candidate.saves - current.saves) / max(candidate.cost - current.cost, 0.01)
