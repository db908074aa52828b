"""Which insulation: every package of the measures, what each saves, and which are worth a look."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import combinations

from thermal.analysis.design_results import Outcome
from thermal.plan.model import Plan
from thermal.plan.reader import variant


@dataclass(frozen=True)
class Package:
    """A set of measures and what comes of it; payback in median winters, None where it never pays."""

    measures: tuple[str, ...]
    cost: float
    outcome: Outcome
    saves: float  # money a median winter, against doing nothing
    payback_winters: float | None


@dataclass(frozen=True)
class Step:
    """One rung of the ladder: the measure to take next, and the package that makes."""

    measure: str
    cost: float
    saves: float  # more than the rung before
    package: Package


@dataclass(frozen=True)
class Comparison:
    """All packages, the bare plan first, and the choices among them; None where no package will do."""

    packages: tuple[Package, ...]
    undominated: tuple[int, ...]  # places of packages that nothing beats in price and running cost
    with_owned: int | None
    on_circuit: int | None
    in_budget: int | None
    ladder: tuple[Step, ...]


def package_plans(plan: Plan) -> list[Plan]:
    """The plan with every subset of its measures, the bare plan first, smaller subsets before larger ones."""
    return [_variant(plan, chosen) for chosen in _subsets(len(plan.measures))]


def compared(plan: Plan, found: Sequence[Outcome], budget: float | None = None) -> Comparison:
    """Every package of a plan's measures beside each other.

    Parameters
    ----------
    found : sequence of Outcome
        Of `package_plans`, in order.
    budget : float, optional
        Most money for measures; the cheapest to run within it is pointed out.
    """
    measures = plan.measures
    packages = tuple(
        _package(tuple(measures[m].name for m in chosen), sum(measures[m].cost for m in chosen), one, found[0])
        for chosen, one in zip(_subsets(len(measures)), found, strict=True)
    )
    return Comparison(
        packages=packages,
        undominated=undominated(packages),
        with_owned=_cheapest(packages, lambda one: bool(one.outcome.owned_holds)),
        on_circuit=_cheapest(packages, lambda one: bool(one.outcome.fits) and one.outcome.needed_w is not None),
        in_budget=None if budget is None else _best_within(packages, budget),
        ladder=_ladder(packages, [one.name for one in measures]),
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


def _package(names: tuple[str, ...], cost: float, outcome: Outcome, bare: Outcome) -> Package:
    saves = bare.cost - outcome.cost
    return Package(names, cost, outcome, saves, cost / saves if saves > 0 and cost > 0 else None)


def undominated(packages: tuple[Package, ...]) -> tuple[int, ...]:
    """Places of the packages that no other beats: none is as cheap to buy and cheaper to run, rising in price."""
    order = sorted(range(len(packages)), key=lambda i: (packages[i].cost, packages[i].outcome.cost))
    kept: list[int] = []
    for i in order:
        one = packages[i]
        if one.outcome.needed_w is None:
            continue
        if not kept or one.outcome.cost < packages[kept[-1]].outcome.cost - 0.005:
            kept.append(i)
    return tuple(kept)


def _cheapest(packages: tuple[Package, ...], will_do: Callable[[Package], bool]) -> int | None:
    fit = [i for i, one in enumerate(packages) if will_do(one)]
    return min(fit, key=lambda i: (packages[i].cost, packages[i].outcome.cost), default=None)


def _best_within(packages: tuple[Package, ...], budget: float) -> int | None:
    fit = [i for i, one in enumerate(packages) if one.cost <= budget and one.outcome.needed_w is not None]
    return min(fit, key=lambda i: packages[i].outcome.cost, default=None)


def _ladder(packages: tuple[Package, ...], names: list[str]) -> tuple[Step, ...]:
    """Measures in the order of what each next one saves for its price, until none saves any more."""
    by_names = {frozenset(one.measures): one for one in packages}
    here, steps = packages[0], []
    while left := [name for name in names if name not in here.measures]:
        tried = [(name, by_names[frozenset((*here.measures, name))]) for name in left]
        name, best = max(tried, key=lambda pair: _worth(here, pair[1]))
        if best.saves - here.saves <= 0.005:
            break
        steps.append(Step(name, best.cost - here.cost, best.saves - here.saves, best))
        here = best
    return tuple(steps)


def _worth(here: Package, there: Package) -> float:
    """Money saved a winter for each unit of money spent."""
    return (there.saves - here.saves) / max(there.cost - here.cost, 0.01)
