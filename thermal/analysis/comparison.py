"""What could be done instead, in one study: packages of measures, other floors, other ways, one part alone."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from typing import TypeVar

from thermal.analysis.alternatives import Alternative, alternatives, heat_pump, heat_pump_weights, way_plans
from thermal.analysis.case import Scene
from thermal.analysis.design_results import Outcome, outcomes_by_part
from thermal.analysis.measure_packages import Comparison, compared, package_plans
from thermal.analysis.minimum_temperature_sweep import FloorStep, floor_plans, floor_steps
from thermal.analysis.required_insulation import Insulating, needed_resistances
from thermal.plan.model import Plan
from thermal.solver.parallel import Here, Steps, silent

U = TypeVar("U")


@dataclass(frozen=True)
class Options:
    """Packages and floors; with other ways and one part alone where they were asked for."""

    comparison: Comparison
    floors: tuple[FloorStep, ...]
    alternatives: tuple[Alternative, ...] = ()
    insulating: Insulating | None = None


def all_options(
    scene: Scene,
    of_packages: Callable[[Plan, Options], U],
    budget: float | None = None,
    executor: Executor | None = None,
    steps: Steps = silent,
) -> tuple[Options, U]:
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
    aside = executor and executor.submit(needed_resistances, scene, Here())
    packages, floors, others = package_plans(scene.plan), floor_plans(scene.plan), way_plans(scene.plan)
    plans = packages + floors + others
    first, last = len(packages), len(packages) + len(floors)
    found: dict[int, Outcome] = {}
    early: tuple[Options, U] | None = None
    for part in outcomes_by_part(scene, plans, executor, steps, range(0), heat_pump_weights(scene)):
        found |= part
        if early is None and all(place in found for place in range(last)):
            every = [found[place] for place in range(last)]
            options = Options(compared(scene.plan, every[:first], budget), floor_steps(scene.plan, every[first:]))
            early = options, of_packages(scene.plan, options)
    assert early is not None
    options, made = early
    whole = replace(
        options,
        alternatives=(
            *alternatives(scene.plan, found[0], [found[place] for place in range(last, len(plans))]),
            heat_pump(scene, found[0]),
        ),
        insulating=aside.result() if aside else needed_resistances(scene),
    )
    return whole, made
