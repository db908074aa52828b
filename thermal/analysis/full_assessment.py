"""Everything `run` says: the answer, what could be done instead, and how sure it is; worked out side by side."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor, ThreadPoolExecutor
from dataclasses import dataclass
from typing import TypeVar

from thermal.analysis.assessment import Answer, answer_of
from thermal.analysis.case import Scene
from thermal.analysis.comparison import Options
from thermal.analysis.design_results import outcomes
from thermal.analysis.measure_packages import compared, package_plans
from thermal.analysis.minimum_temperature_sweep import floor_plans, floor_steps
from thermal.analysis.uncertainty import Spread, hypercube, sampled_plans, summed_up, unknowns
from thermal.solver.parallel import BLOCK, Here, Steps, silent

SAMPLES = 48  # enough for a band; `spread` draws more
SEED = 0
T = TypeVar("T")


@dataclass(frozen=True)
class Whole:
    """The answer with its options and its bands."""

    answer: Answer
    options: Options
    spread: Spread


def whole_answer(
    scene: Scene, of_answer: Callable[[Answer], T], executor: Executor | None = None, steps: Steps = silent
) -> tuple[Whole, T]:
    """The answer to a plan, while its packages, floors and samples are marched in the executor.

    Parameters
    ----------
    of_answer : callable
        What to make of the answer as soon as it is there, while the rest is marched. It comes along.
    """
    with ThreadPoolExecutor(1) as aside:
        few = 2 ** len(scene.plan.measures) * len(scene.weather.winters) <= BLOCK // 2
        if few and executor is not None:  # one process for the answer, one for the rest
            weighing = executor.submit(weighed, scene, Here())
        else:
            weighing = aside.submit(weighed, scene, executor, steps)
        answer = answer_of(scene)
        made = of_answer(answer)
        return Whole(answer, *weighing.result()), made


def weighed(scene: Scene, executor: Executor | None = None, steps: Steps = silent) -> tuple[Options, Spread]:
    """Packages, floors and samples of a plan in one study."""
    plan = scene.plan
    packages, floors = package_plans(plan), floor_plans(plan)
    drawn = hypercube(list(unknowns(plan)), SAMPLES, SEED)
    plans = [*packages, *floors, plan, *sampled_plans(plan, drawn, SAMPLES)]
    first, last = len(packages), len(packages) + len(floors)
    found = outcomes(scene, plans, executor, steps, tested=range(last, len(plans)))
    options = Options(compared(plan, found[:first]), floor_steps(plan, found[first:last]))
    return options, summed_up(plan, drawn, found[last], found[last + 1 :], SEED)
