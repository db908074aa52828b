"""What could be done instead, in one study: packages of measures, other floors, other ways, one part alone."""

from __future__ import annotations

from concurrent.futures import Executor
from dataclasses import dataclass

from thermal.decisions.alternatives import Alternative, alternatives, heat_pump, heat_pump_weights, way_plans
from thermal.decisions.floors import FloorStep, floor_plans, floor_steps
from thermal.decisions.outcomes import outcomes
from thermal.decisions.packages import Comparison, compared, package_plans
from thermal.decisions.resistance import Insulating, needed_resistances
from thermal.scene import Scene
from thermal.study import Here, Steps, silent


@dataclass(frozen=True)
class Options:
    """Packages and floors; with other ways and one part alone where they were asked for."""

    comparison: Comparison
    floors: tuple[FloorStep, ...]
    alternatives: tuple[Alternative, ...] = ()
    insulating: Insulating | None = None


def all_options(
    scene: Scene, budget: float | None = None, executor: Executor | None = None, steps: Steps = silent
) -> Options:
    """Packages, floors, other ways and single parts of a plan.

    Parameters
    ----------
    budget : float, optional
        Most money for measures.
    executor : Executor, optional
        Where the blocks of designs are marched.
    """
    aside = executor and executor.submit(needed_resistances, scene, Here())
    packages, floors, others = package_plans(scene.plan), floor_plans(scene.plan), way_plans(scene.plan)
    found = outcomes(scene, packages + floors + others, executor, steps, weights=heat_pump_weights(scene))
    first, last = len(packages), len(packages) + len(floors)
    return Options(
        comparison=compared(scene.plan, found[:first], budget),
        floors=floor_steps(scene.plan, found[first:last]),
        alternatives=(*alternatives(scene.plan, found[0], found[last:]), heat_pump(scene, found[0])),
        insulating=aside.result() if aside else needed_resistances(scene),
    )
