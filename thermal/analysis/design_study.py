"""Many variants of one plan in one study: packages of measures, minimum temperatures, alternatives, samples.

A share of a study is a function of plain values, so that any executor can take it. It makes the plans of its own
numbers itself, because to read a changed plan costs as much as to simulate it.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import Executor, Future
from dataclasses import dataclass
from itertools import chain

import numpy as np

from thermal.analysis.alternatives import alternative_plans, alternatives, heat_pump, heat_pump_weights
from thermal.analysis.case import SimulationCase
from thermal.analysis.design_results import COLUMNS, SimulatedDesigns, results_of, simulate_designs
from thermal.analysis.measure_packages import compare_packages, package_plans
from thermal.analysis.minimum_temperature_sweep import floor_plans, floor_steps, swept_floors
from thermal.analysis.results import Comparison, DesignResult, RequiredInsulation, Uncertainty
from thermal.analysis.uncertainty import sampled_plans, summarise, unknowns
from thermal.core.arrays import Array
from thermal.core.latin_hypercube import latin_hypercube
from thermal.core.parallel import Progress, no_progress, split_evenly
from thermal.plan.model import Plan

BRIEF_SAMPLES = 48  # enough for an interval; the command `spread` takes more


@dataclass(frozen=True)
class DesignStudy:
    """The designs of a study by number; 0 is the plan as written, without its measures.

    Attributes
    ----------
    packages, minimum_temperatures, alternatives : range
        Numbers of the designs of each kind; empty where nobody asked for it.
    samples : range
        The plan as written, then its random samples.
    seed : int
        The same seed gives the same samples.
    """

    case: SimulationCase
    packages: range
    minimum_temperatures: range
    alternatives: range
    samples: range
    seed: int = 0

    @property
    def hypercube(self) -> dict[str, Array]:
        """The samples of each unknown, numbers in (0, 1)."""
        return latin_hypercube(list(unknowns(self.case.plan)), len(self.samples) - 1, self.seed)

    def plans(self, numbers: Sequence[int]) -> list[Plan]:
        """The plans of some designs, in ascending order of their numbers."""
        plan = self.case.plan
        made = package_plans(plan, [n for n in numbers if n in self.packages])
        for kind, variants in ((self.minimum_temperatures, floor_plans), (self.alternatives, alternative_plans)):
            wanted = [n - kind.start for n in numbers if n in kind]
            made += [every[i] for every in ([variants(plan)] if wanted else []) for i in wanted]
        wanted = [n - self.samples.start for n in numbers if n in self.samples]
        drawn = [i - 1 for i in wanted if i > 0]
        made += [plan] * (len(wanted) - len(drawn))
        return made + (sampled_plans(plan, self.hypercube, drawn) if drawn else [])


def design_study(
    case: SimulationCase, *, comparison: bool = False, others: bool = False, samples: int = 0, seed: int = 0
) -> DesignStudy:
    """The study of a plan.

    Parameters
    ----------
    comparison : bool
        Every package of its measures, and every minimum temperature.
    others : bool
        The alternatives: heat elsewhere, at other hours, under a hut.
    samples : int
        How many random samples of what is not known; none at 0.
    """
    counts = (
        2 ** len(case.plan.measures) if comparison else 0,
        len(swept_floors(case.plan)) if comparison else 0,
        len(alternative_plans(case.plan)) if others else 0,
        samples + 1 if samples else 0,
    )
    ends = np.cumsum(counts).tolist()
    packages, minimums, alternatives_, drawn = (range(e - n, e) for n, e in zip(counts, ends, strict=True))
    return DesignStudy(case, packages, minimums, alternatives_, drawn, seed)


def submit_study(study: DesignStudy, executor: Executor, workers: int) -> list[Future[list[SimulatedDesigns]]]:
    """Hand the study to an executor, in shares that fit the cache: at least one for each of `workers` where it pays."""
    designs, winters = study.samples.stop, len(study.case.weather.winters)
    shares = [share.tolist() for share in split_evenly(designs, COLUMNS * winters, workers)]
    # The samples get the heater of the plan as written, so it is in every share that has some.
    shares = [sorted({0, *share}) if any(n in study.samples for n in share) else share for share in shares]
    return [executor.submit(simulate_share, study, share) for share in shares]


def simulate_share(study: DesignStudy, numbers: Sequence[int]) -> list[SimulatedDesigns]:
    """Simulate some designs of a study, numbers ascending."""
    weights = heat_pump_weights(study.case) if study.alternatives else None
    return simulate_designs(study.case, study.plans(numbers), np.array(numbers), study.samples, weights)


def collect_study(
    study: DesignStudy, futures: Sequence[Future[list[SimulatedDesigns]]], progress: Progress = no_progress
) -> list[DesignResult]:
    """The results of all designs of a study in order of their numbers, once all shares are there."""
    done = progress((future.result() for future in futures), len(futures))
    return results_of(study.case, chain.from_iterable(done))


def study_results(study: DesignStudy) -> list[DesignResult]:
    """The results of a study simulated in this process."""
    return results_of(study.case, simulate_share(study, range(study.samples.stop)))


def comparison_of(
    study: DesignStudy,
    results: Sequence[DesignResult],
    budget: float | None = None,
    insulation: RequiredInsulation | None = None,
) -> Comparison:
    """Packages, minimum temperatures and alternatives of a study beside each other.

    Parameters
    ----------
    budget : float, optional
        Most money for measures.
    insulation : RequiredInsulation, optional
        What one part alone would need, to stand beside them.
    """
    plan, others = study.case.plan, study.alternatives
    return Comparison(
        compare_packages(plan, [results[n] for n in study.packages], budget),
        floor_steps(plan, [results[n] for n in study.minimum_temperatures]),
        (*alternatives(plan, results[0], [results[n] for n in others]), heat_pump(study.case, results[0]))
        if others
        else (),
        insulation,
    )


def uncertainty_of(study: DesignStudy, results: Sequence[DesignResult]) -> Uncertainty:
    """Intervals and sensitivities of a study's samples."""
    base, *drawn = (results[n] for n in study.samples)
    return summarise(study.case.plan, study.hypercube, base, drawn, study.seed)
