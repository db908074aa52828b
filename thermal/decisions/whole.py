"""Everything `run` says: the answer, what could be done instead, and how sure it is; worked out side by side."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor, ThreadPoolExecutor
from dataclasses import dataclass
from typing import TypeVar

from thermal.decisions.answer import Answer, answer_of
from thermal.decisions.floors import floor_plans, floor_steps
from thermal.decisions.options import Options
from thermal.decisions.outcomes import outcomes
from thermal.decisions.packages import compared, package_plans
from thermal.decisions.spread import Spread, hypercube, sampled_plans, summed_up, unknowns
from thermal.plan import Plan
from thermal.scene import Scene
from thermal.study import BLOCK, Here, Steps, silent

SAMPLES = 48  # enough for a band; `spread` draws more
SEED = 0
T = TypeVar("T")
U = TypeVar("U")


@dataclass(frozen=True)
class Whole:
    """The answer with its options and its bands."""

    answer: Answer
    options: Options
    spread: Spread


def whole_answer(
    scene: Scene,
    of_answer: Callable[[Answer], T],
    of_options: Callable[[Plan, Options], U],
    executor: Executor | None = None,
    steps: Steps = silent,
) -> tuple[Whole, T, U]:
    """The answer to a plan, while its packages, floors and samples are marched in the executor.

    Parameters
    ----------
    of_answer, of_options : callable
        What to make of the answer and of the options, each as soon as it is there; a function of a module, so that
        another process can make it. What they give comes along.
    """
    few = 2 ** len(scene.plan.measures) * len(scene.weather.winters) <= BLOCK // 2
    if few and executor is not None:  # one process for the answer, one for the rest
        rest = executor.submit(_weighed_and, of_options, scene)
        answer = answer_of(scene)
        made = of_answer(answer)
        options, spread, others = rest.result()
        return Whole(answer, options, spread), made, others
    with ThreadPoolExecutor(1) as aside:
        weighing = aside.submit(weighed, scene, executor, steps)
        answer = answer_of(scene)
        made = of_answer(answer)
        options, spread = weighing.result()
    return Whole(answer, options, spread), made, of_options(scene.plan, options)


def _weighed_and(of_options: Callable[[Plan, Options], U], scene: Scene) -> tuple[Options, Spread, U]:
    """`weighed` in this process, and what is made of its options."""
    options, spread = weighed(scene, Here())
    return options, spread, of_options(scene.plan, options)


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
