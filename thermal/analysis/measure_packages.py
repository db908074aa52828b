"""Which insulation: every package of the measures, what each saves, and which are best value."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import combinations

from thermal.analysis.results import DesignResult, Package, PackageComparison, RankedMeasure
from thermal.plan.model import Plan
from thermal.plan.reader import variant


def package_plans(plan: Plan, numbers: Sequence[int] | None = None) -> list[Plan]:
    """The plan with every subset of its measures, the bare plan first, smaller subsets before larger ones.

    Parameters
    ----------
    numbers : sequence of int, optional
        Which of them; all when left out.
    """
    subsets = _subsets(len(plan.measures))
    return [_variant(plan, subsets[number]) for number in (range(len(subsets)) if numbers is None else numbers)]


def compare_packages(plan: Plan, results: Sequence[DesignResult], budget: float | None = None) -> PackageComparison:
    """Every package of a plan's measures beside each other.

    Parameters
    ----------
    results : sequence of DesignResult
        Of `package_plans`, in order.
    budget : float, optional
        Largest price of the measures together; the package that costs least to run within it is marked.
    """
    measures = plan.measures
    packages = tuple(
        _package(tuple(measures[m].name for m in chosen), sum(measures[m].cost for m in chosen), result, results[0])
        for chosen, result in zip(_subsets(len(measures)), results, strict=True)
    )
    return PackageComparison(
        packages=packages,
        pareto_front=pareto_front(packages),
        with_owned=_cheapest(packages, lambda package: bool(package.result.owned_holds)),
        on_circuit=_cheapest(
            packages, lambda package: bool(package.result.fits) and package.result.needed_w is not None
        ),
        in_budget=None if budget is None else _best_within(packages, budget),
        ranking=_ranking(packages, [measure.name for measure in measures]),
    )


def _subsets(count: int) -> list[tuple[int, ...]]:
    """Every subset, smaller ones first, the empty one at the head."""
    return [chosen for size in range(count + 1) for chosen in combinations(range(count), size)]


def _variant(plan: Plan, chosen: tuple[int, ...]) -> Plan:
    """The plan with some measures; where two set the same key the later one counts."""
    settings: dict[str, object] = {}
    for place in chosen:
        settings |= plan.measures[place].set
    return variant(plan, settings)


def _package(names: tuple[str, ...], cost: float, result: DesignResult, bare: DesignResult) -> Package:
    saves = bare.cost - result.cost
    return Package(names, cost, result, saves, cost / saves if saves > 0 and cost > 0 else None)


def pareto_front(packages: tuple[Package, ...]) -> tuple[int, ...]:
    """Places of the packages that no other undercuts both to buy and to run, rising in price."""
    order = sorted(range(len(packages)), key=lambda i: (packages[i].cost, packages[i].result.cost))
    kept: list[int] = []
    for i in order:
        item = packages[i]
        if item.result.needed_w is None:
            continue
        if not kept or item.result.cost < packages[kept[-1]].result.cost - 0.005:
            kept.append(i)
    return tuple(kept)


def _cheapest(packages: tuple[Package, ...], will_do: Callable[[Package], bool]) -> int | None:
    fit = [i for i, package in enumerate(packages) if will_do(package)]
    return min(fit, key=lambda i: (packages[i].cost, packages[i].result.cost), default=None)


def _best_within(packages: tuple[Package, ...], budget: float) -> int | None:
    fit = [i for i, package in enumerate(packages) if package.cost <= budget and package.result.needed_w is not None]
    return min(fit, key=lambda i: packages[i].result.cost, default=None)


def _ranking(packages: tuple[Package, ...], names: list[str]) -> tuple[RankedMeasure, ...]:
    """Measures in the order of what each next one saves for its price, until none saves any more."""
    by_names = {frozenset(package.measures): package for package in packages}
    here, steps = packages[0], []
    while left := [name for name in names if name not in here.measures]:
        tried = [(name, by_names[frozenset((*here.measures, name))]) for name in left]
        name, best = max(tried, key=lambda pair: _worth(here, pair[1]))
        if best.saves - here.saves <= 0.005:
            break
        steps.append(RankedMeasure(name, best.cost - here.cost, best.saves - here.saves, best))
        here = best
    return tuple(steps)


def _worth(here: Package, there: Package) -> float:
    """Money saved a winter for each unit of money spent."""
    return (there.saves - here.saves) / max(there.cost - here.cost, 0.01)
