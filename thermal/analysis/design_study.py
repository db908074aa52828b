"""Many variants of one plan in one study: packages of measures, minimum temperatures, alternatives and samples.

A study is divided into shares. A share is simulated by a function of plain values, so that any executor can take it. It
makes the plans of its own designs, because reading a changed plan takes as long as simulating it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from concurrent.futures import Executor, Future
from dataclasses import dataclass, replace
from itertools import chain

import numpy as np

from thermal.analysis.alternatives import alternative_plans, alternatives, heat_pump, heat_pump_weights
from thermal.analysis.case import SimulationCase
from thermal.analysis.comparison_results import (
    Alternative,
    Comparison,
    DesignResult,
    Package,
    RequiredInsulation,
    Uncertainty,
)
from thermal.analysis.design_results import SimulatedDesigns, results_of, simulate_designs
from thermal.analysis.lighter_case import without_hours
from thermal.analysis.measure_packages import (
    compare_packages,
    first_of_equals,
    measure_packages,
    package_plans,
    subsets,
)
from thermal.analysis.minimum_temperature_sweep import floor_plans, floor_steps, swept_floors, with_floor
from thermal.analysis.separable_effects import separable_effects, simulated_floors, simulated_subsets
from thermal.analysis.uncertainty import WINTER, dimensions, sampled_plans, summarise
from thermal.analysis.way_packages import (
    Combination,
    combinations,
    combined_plans,
    heat_pump_packages,
    ways_alone,
    ways_with_measures,
)
from thermal.analysis.way_surprises import surprise
from thermal.analysis.winter_columns import SampleDesigns, columns_of_study, winter_at
from thermal.analysis.winter_pieces import MOST_IN_PIECES
from thermal.core.arrays import Array
from thermal.core.latin_hypercube import latin_hypercube
from thermal.core.parallel import BLOCK_COLUMNS, Progress, no_progress, split_evenly
from thermal.plan.model import Plan

SHARE_COLUMNS = 2 * BLOCK_COLUMNS  # of a share of a study, so that what is simulated of it alone is wide enough too


@dataclass(frozen=True)
class DesignStudy:
    """The designs of a study by number; 0 is the plan as written, without its measures.

    Attributes
    ----------
    case : SimulationCase
        The plan and its climate.
    packages, minimum_temperatures, alternatives : range
        Numbers of the designs of each kind; empty where they were not asked for.
    samples : range
        Numbers of the plan as written and of its random samples; empty where they were not asked for.
    seed : int
        Seed of the random samples; the same seed gives the same samples.
    at_minima : range
        Numbers of the designs that have measures and another minimum temperature.
    combined : tuple of (str, int)
        Other ways with packages of measures, from `way_packages.combinations`; numbered before the samples.
    """

    case: SimulationCase
    packages: range
    minimum_temperatures: range
    alternatives: range
    samples: range
    seed: int = 0
    at_minima: range = range(0)
    combined: tuple[Combination, ...] = ()

    @property
    def hypercube(self) -> dict[str, Array]:
        """The samples of each unknown by its name, shape (sample,), from 0 to 1. [-]"""
        case, weather = self.case, self.case.weather
        humidity_assumed = "rh_pct" in case.climate.assumed
        names = dimensions(case.plan, humidity_assumed, weather.sun_and_sky, not weather.harmonic.fitted)
        return latin_hypercube(names, len(self.samples) - 1, self.seed)

    @property
    def sample_designs(self) -> SampleDesigns:
        """Which designs are samples, and the winter of each."""
        if not self.samples:
            return SampleDesigns()
        return SampleDesigns(self.samples, winter_at(self.case.weather, self.hypercube[WINTER]))

    @property
    def simulated_as(self) -> Array:
        """Number of the design that each is simulated as: itself, or the first of equal packages, (design,)."""
        numbers = np.arange(self.samples.stop)
        if len(self.packages) > 1:
            numbers[self.packages] = first_of_equals(self.case.plan)
        return numbers

    @property
    def in_pieces(self) -> bool:
        """Whether winters are cut into pieces: not for samples, nor for so many designs that it would not save time."""
        return len(self.samples) <= 1 and columns_of_study(self.samples, self.case.weather) <= MOST_IN_PIECES

    def plans(self, numbers: Sequence[int]) -> list[Plan]:
        """The plans of some designs, from their numbers in ascending order."""
        plan = self.case.plan
        plans = package_plans(plan, [n for n in numbers if n in self.packages])
        kinds = (
            (self.minimum_temperatures, floor_plans),
            (self.alternatives, alternative_plans),
            (self.at_minima, plans_at_minima),
        )
        for kind, variants_of in kinds:
            indices = [n - kind.start for n in numbers if n in kind]
            variants = variants_of(plan) if indices else []
            plans += [variants[i] for i in indices]
        first = max(self.alternatives.stop, self.at_minima.stop)
        plans += combined_plans(plan, [self.combined[n - first] for n in numbers if first <= n < self.samples.start])
        indices = [n - self.samples.start for n in numbers if n in self.samples]
        samples = [i - 1 for i in indices if i > 0]
        plans += [plan] * (len(indices) - len(samples))
        return plans + (sampled_plans(plan, self.hypercube, samples) if samples else [])


def measures_at_minima(plan: Plan) -> list[tuple[float, tuple[int, ...]]]:
    """Minimum water temperature [degC] and measures of each design that has both other than the plan."""
    floors_c = simulated_floors(plan.keep.floor_c, swept_floors(plan))
    return [(floor_c, chosen) for floor_c in floors_c for chosen in simulated_subsets(len(plan.measures))]


def plans_at_minima(plan: Plan) -> list[Plan]:
    """The plan with the minimum and the measures of each of `measures_at_minima`."""
    designs, order = measures_at_minima(plan), subsets(len(plan.measures))
    packages = package_plans(plan, [order.index(chosen) for _, chosen in designs])
    return [with_floor(package, floor_c) for package, (floor_c, _) in zip(packages, designs, strict=True)]


def design_study(
    case: SimulationCase, *, comparison: bool = False, others: bool = False, samples: int = 0, seed: int = 0
) -> DesignStudy:
    """The study of a plan.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    comparison : bool
        Include every package of its measures, and every minimum temperature.
    others : bool
        Include the alternatives: heat in the room, at other hours, under a hut.
    samples : int
        Number of random samples of the uncertain inputs; 0 for none.
    seed : int
        Seed of the samples.
    """
    counts = (
        2 ** len(case.plan.measures) if comparison else 0,
        len(swept_floors(case.plan)) if comparison else 0,
        len(alternative_plans(case.plan)) if others else 0,
        len(measures_at_minima(case.plan)) if comparison else 0,
        samples + 1 if samples else 0,
    )
    ends = np.cumsum(counts).tolist()
    packages, minimum_temperatures, alternatives_, at_minima, sampled = (
        range(e - n, e) for n, e in zip(counts, ends, strict=True)
    )
    return DesignStudy(case, packages, minimum_temperatures, alternatives_, sampled, seed, at_minima)


def submit_study(study: DesignStudy, executor: Executor, workers: int) -> list[Future[list[SimulatedDesigns]]]:
    """Submit the simulation of a study to an executor, in shares.

    Parameters
    ----------
    study : DesignStudy
        The designs to simulate.
    executor : Executor
        Processes, or this process.
    workers : int
        Number of shares at least, where so many save time.

    Returns
    -------
    list of Future
        One for each share.
    """
    numbers, columns = np.unique(study.simulated_as), columns_of_study(study.samples, study.case.weather)
    parts = split_evenly(len(numbers), -(-columns // study.samples.stop), workers, SHARE_COLUMNS)
    shares = [numbers[part].tolist() for part in parts]
    light = replace(study, case=without_hours(study.case))
    return [executor.submit(simulate_share, light, share) for share in shares]


def simulate_share(study: DesignStudy, numbers: Sequence[int]) -> list[SimulatedDesigns]:
    """Simulation of some designs of a study.

    Parameters
    ----------
    study : DesignStudy
        The study.
    numbers : sequence of int
        Numbers of the designs, ascending.

    Raises
    ------
    ClosureError
        When a simulation does not conserve energy.
    """
    weights = heat_pump_weights(study.case) if study.alternatives else None
    plans, samples = study.plans(numbers), study.sample_designs
    return simulate_designs(study.case, plans, np.array(numbers), samples, weights, study.in_pieces)


def collect_study(
    study: DesignStudy,
    futures: Sequence[Future[list[SimulatedDesigns]]],
    progress: Progress = no_progress,
    margin: float | None = None,
) -> list[DesignResult]:
    """The results of a study, once all its shares are simulated.

    Parameters
    ----------
    study : DesignStudy
        The study.
    futures : sequence of Future
        From `submit_study`.
    progress : callable
        Shows how many shares are done.
    margin : float, optional
        Power to buy over that needed, from samples of the plan [-].

    Returns
    -------
    list of DesignResult
        By number of the design.

    Raises
    ------
    ClosureError
        When a simulation does not conserve energy.
    """
    done = progress((future.result() for future in futures), len(futures))
    return _results(study, chain.from_iterable(done), margin)


def study_results(study: DesignStudy) -> list[DesignResult]:
    """The results of a study by number of the design, simulated in this process.

    Raises
    ------
    ClosureError
        When a simulation does not conserve energy.
    """
    return _results(study, simulate_share(study, np.unique(study.simulated_as).tolist()))


def _results(
    study: DesignStudy, simulated: Iterable[SimulatedDesigns], margin: float | None = None
) -> list[DesignResult]:
    """The results of all designs by number, equal packages among them, from those simulated."""
    _, places = np.unique(study.simulated_as, return_inverse=True)
    results = results_of(study.case, simulated, margin)
    return [results[place] for place in places]


def combined_study(study: DesignStudy, results: Sequence[DesignResult]) -> DesignStudy:
    """The study of other ways together with packages of measures; design 0 is the plan as written again.

    Parameters
    ----------
    study : DesignStudy
        A study with packages and alternatives.
    results : sequence of DesignResult
        By number of the design.
    """
    plan, none = study.case.plan, range(1, 1)
    others = alternatives(plan, results[0], [results[n] for n in study.alternatives])
    combined = combinations(plan, measure_packages(plan, [results[n] for n in study.packages]), others)
    after = range(1 + len(combined), 1 + len(combined))
    return DesignStudy(study.case, range(1), none, none, after, combined=combined)


def comparison_of(
    study: DesignStudy,
    results: Sequence[DesignResult],
    budget: float | None = None,
    insulation: RequiredInsulation | None = None,
    with_measures: tuple[DesignStudy, Sequence[DesignResult]] | None = None,
) -> Comparison:
    """Packages, minimum temperatures and alternatives of a study.

    Parameters
    ----------
    study : DesignStudy
        A study with packages and minimum temperatures.
    results : sequence of DesignResult
        By number of the design.
    budget : float, optional
        Largest price of a package [currency].
    insulation : RequiredInsulation, optional
        Insulation that one part alone would need.
    with_measures : (DesignStudy, sequence of DesignResult), optional
        The `combined_study` and its results; without it other ways take part in the packages without measures only.
    """
    plan, season, others = study.case.plan, study.case.season, study.alternatives
    ways, packages = _ways(study, results, with_measures) if others else ((), [])
    steps = floor_steps(plan, [results[n] for n in study.minimum_temperatures])
    of_measures = measure_packages(plan, [results[n] for n in study.packages])
    names = [measure.name for measure in plan.measures]
    return Comparison(
        compare_packages(plan, [results[n] for n in study.packages], budget, packages),
        steps,
        tuple(replace(way, reason=surprise(results[0], way, season.complete > 0)) for way in ways),
        insulation,
        season,
        separable=separable_effects(
            names, plan.keep.floor_c, of_measures, steps, [results[n] for n in study.at_minima]
        ),
    )


def _ways(
    study: DesignStudy,
    results: Sequence[DesignResult],
    with_measures: tuple[DesignStudy, Sequence[DesignResult]] | None,
) -> tuple[tuple[Alternative, ...], list[Package]]:
    """The alternatives, the heat pump last, and the packages that they are part of."""
    plan, of_others = study.case.plan, [results[n] for n in study.alternatives]
    others = alternatives(plan, results[0], of_others)
    of_measures = measure_packages(plan, [results[n] for n in study.packages])
    packages = ways_alone(others, of_others, results[0])
    if with_measures is not None:
        packages += ways_with_measures(plan, of_measures, with_measures[0].combined, with_measures[1][1:])
    packages += heat_pump_packages(study.case, of_measures)
    return (*others, heat_pump(study.case, results[0])), packages


def uncertainty_of(study: DesignStudy, results: Sequence[DesignResult]) -> Uncertainty:
    """Intervals and sensitivities of the samples of a study.

    Parameters
    ----------
    study : DesignStudy
        A study with samples.
    results : sequence of DesignResult
        By number of the design.
    """
    base, *sampled = (results[n] for n in study.samples)
    return summarise(study.case.plan, study.hypercube, base, sampled, study.seed, study.case.season)
