"""What could be done instead, in one study: packages of measures, other floors, other ways, one part alone."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor
from dataclasses import replace
from typing import TypeVar

from thermal.analysis.alternatives import alternative_plans, alternatives, heat_pump, heat_pump_weights
from thermal.analysis.case import SimulationCase
from thermal.analysis.design_results import iter_results
from thermal.analysis.measure_packages import compare_packages, package_plans
from thermal.analysis.minimum_temperature_sweep import floor_plans, floor_steps
from thermal.analysis.required_insulation import needed_resistances
from thermal.analysis.results import (
    Comparison,
    DesignResult,
)
from thermal.plan.model import Plan
from thermal.solver.parallel import Progress, SerialExecutor, no_progress

U = TypeVar("U")


def compare(
    case: SimulationCase,
    of_packages: Callable[[Plan, Comparison], U],
    budget: float | None = None,
    executor: Executor | None = None,
    progress: Progress = no_progress,
) -> tuple[Comparison, U]:
    """Packages, floors, other ways and single parts of a plan.

    Parameters
    ----------
    of_packages : callable
        What to make of packages and floors as soon as they are there, while the rest is marched. It comes along.
    budget : float, optional
        Most money for measures.
    executor : Executor, optional
        Where the blocks of designs are marched.
    """
    aside = executor and executor.submit(needed_resistances, case, SerialExecutor())
    packages, floors, others = package_plans(case.plan), floor_plans(case.plan), alternative_plans(case.plan)
    plans = packages + floors + others
    first, last = len(packages), len(packages) + len(floors)
    found: dict[int, DesignResult] = {}
    early: tuple[Comparison, U] | None = None
    for part in iter_results(case, plans, executor, progress, range(0), heat_pump_weights(case)):
        found |= part
        if early is None and all(place in found for place in range(last)):
            every = [found[place] for place in range(last)]
            options = Comparison(
                compare_packages(case.plan, every[:first], budget), floor_steps(case.plan, every[first:])
            )
            early = options, of_packages(case.plan, options)
    assert early is not None
    options, made = early
    whole = replace(
        options,
        alternatives=(
            *alternatives(case.plan, found[0], [found[place] for place in range(last, len(plans))]),
            heat_pump(case, found[0]),
        ),
        insulating=aside.result() if aside else needed_resistances(case),
    )
    return whole, made
