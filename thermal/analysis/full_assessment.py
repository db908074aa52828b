"""Everything `run` says: the answer, what could be done instead, and how sure it is; worked out side by side."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor, ThreadPoolExecutor
from dataclasses import dataclass
from typing import TypeVar

from thermal.analysis.assessment import Assessment, assess
from thermal.analysis.case import SimulationCase
from thermal.analysis.design_results import design_results
from thermal.analysis.measure_packages import compare_packages, package_plans
from thermal.analysis.minimum_temperature_sweep import floor_plans, floor_steps
from thermal.analysis.results import Comparison, Uncertainty
from thermal.analysis.uncertainty import latin_hypercube, sampled_plans, summarise, unknowns
from thermal.solver.parallel import BLOCK_COLUMNS, Progress, SerialExecutor, no_progress

SAMPLES = 48  # enough for a band; `spread` draws more
SEED = 0
T = TypeVar("T")


@dataclass(frozen=True)
class FullAssessment:
    """The answer with its options and its bands."""

    assessment: Assessment
    options: Comparison
    spread: Uncertainty


def full_assessment(
    case: SimulationCase,
    of_answer: Callable[[Assessment], T],
    executor: Executor | None = None,
    progress: Progress = no_progress,
) -> tuple[FullAssessment, T]:
    """The answer to a plan, while its packages, floors and samples are marched in the executor.

    Parameters
    ----------
    of_answer : callable
        What to make of the answer as soon as it is there, while the rest is marched. It comes along.
    """
    with ThreadPoolExecutor(1) as aside:
        few = 2 ** len(case.plan.measures) * len(case.weather.winters) <= BLOCK_COLUMNS // 2
        if few and executor is not None:  # one process for the answer, one for the rest
            weighing = executor.submit(run_comparison_and_uncertainty, case, SerialExecutor())
        else:
            weighing = aside.submit(run_comparison_and_uncertainty, case, executor, progress)
        assessment = assess(case)
        made = of_answer(assessment)
        return FullAssessment(assessment, *weighing.result()), made


def run_comparison_and_uncertainty(
    case: SimulationCase, executor: Executor | None = None, progress: Progress = no_progress
) -> tuple[Comparison, Uncertainty]:
    """Packages, floors and samples of a plan in one study."""
    plan = case.plan
    packages, floors = package_plans(plan), floor_plans(plan)
    drawn = latin_hypercube(list(unknowns(plan)), SAMPLES, SEED)
    plans = [*packages, *floors, plan, *sampled_plans(plan, drawn, SAMPLES)]
    first, last = len(packages), len(packages) + len(floors)
    found = design_results(case, plans, executor, progress, sample_range=range(last, len(plans)))
    options = Comparison(compare_packages(plan, found[:first]), floor_steps(plan, found[first:last]))
    return options, summarise(plan, drawn, found[last], found[last + 1 :], SEED)
