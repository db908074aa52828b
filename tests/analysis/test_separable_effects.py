"""Packages at another minimum: estimates are compared with simulations, and given only where they are close."""

from __future__ import annotations

import random
import tomllib
from dataclasses import replace

import numpy as np
import pytest

from thermal.analysis.comparison_results import DesignResult, FloorStep, Package
from thermal.analysis.design_results import design_results
from thermal.analysis.design_study import comparison_of, design_study, study_results
from thermal.analysis.measure_packages import package_plans, subsets
from thermal.analysis.minimum_temperature_sweep import with_floor
from thermal.analysis.plan_weather import scene_of
from thermal.analysis.separable_effects import (
    FIGURES,
    TOLERANCE,
    _through,
    estimate,
    separable_effects,
    simulated_floors,
    simulated_subsets,
)
from thermal.plan.reader import plan_of


def test_estimates_are_within_three_per_cent_of_simulations(workshop_text):
    """Four measures of the demo's plan; six packages by chance at both ends of the reach, simulated in whole."""
    document = tomllib.loads(workshop_text)
    document["measure"] = document["measure"][1:3] + document["measure"][4:]  # of the tank and of the room
    document["climate"]["winters"] = [2016]
    case = scene_of(plan_of(document))
    study = design_study(case, comparison=True)
    comparison = comparison_of(study, study_results(study))
    effects, packages = comparison.separable, comparison.package_comparison.packages
    bare = {step.floor_c: step.result for step in comparison.floors}
    assert effects.floors_c, "the slider is of use with measures"
    order, plans = subsets(4), package_plans(case.plan)
    numbers = random.Random(4).sample(range(1, len(order)), 6)
    for floor_c in {min(effects.floors_c), max(effects.floors_c)}:
        row = effects.floors_c.index(floor_c)
        simulated = design_results(case, [plans[0], *(with_floor(plans[number], floor_c) for number in numbers)])[1:]
        for number, result in zip(numbers, simulated, strict=True):
            for figure in FIGURES:
                here, base, everything = (getattr(packages[i].result, figure) for i in (number, 0, -1))
                factor = estimate(effects.logarithms[figure][row], order[number], here / base, everything / base)
                about = here * getattr(bare[floor_c], figure) / base * factor
                assert about == pytest.approx(getattr(result, figure), rel=TOLERANCE)


ONE = DesignResult(
    1000.0, 11.0, (), None, 1000.0, 10.0, 500.0, 80.0, 600.0, 96.0, (500.0,), (80.0,), (("2016-10", 500.0, 80.0),),
    2.0, 0.0, 0.0, 0.0, None, 0.0, 10.0, None, (),
)  # fmt: skip


def made_up(interaction):
    """Effects of four measures whose factors hold at every minimum, but for one pair that is worth more at others."""
    shares = {(index,): factor for index, factor in enumerate((0.9, 0.8, 0.7, 0.85))}

    def result(chosen, floor_c):
        factor = 1.0
        for index in chosen:
            factor *= shares[(index,)] * (1.0 + 0.001 * (index + 1) * (floor_c - 10.0))
        if {1, 2} <= set(chosen):
            factor *= 1.0 + interaction * (floor_c - 10.0)
        size = factor * (1.0 + 0.05 * (floor_c - 10.0))
        return replace(ONE, needed_w=1000.0 * size, kwh=500.0 * size, cost=80.0 * size)

    names = ("a", "b", "c", "d")
    packages = [Package(tuple(names[i] for i in chosen), 0.0, result(chosen, 10.0), 0.0, None) for chosen in subsets(4)]
    steps = [FloorStep(float(celsius), result((), float(celsius)), ()) for celsius in range(4, 20)]
    floors = simulated_floors(10.0, [step.floor_c for step in steps])
    assert floors == (8.0, 14.0)
    simulated = [result(chosen, floor_c) for floor_c in floors for chosen in simulated_subsets(4)]
    return separable_effects(names, 10.0, packages, steps, simulated), packages, steps, simulated


def test_the_reach_ends_where_measures_depend_on_each_other():
    free, packages, steps, simulated = made_up(0.0)
    assert free.floors_c == (8.0, 9.0, 11.0, 12.0, 13.0, 14.0)
    some, *_ = made_up(0.02)
    assert set(some.floors_c) < set(free.floors_c)
    none, *_ = made_up(0.2)
    assert none.floors_c == ()
    hopeless = [replace(result, needed_w=None) for result in simulated]
    assert separable_effects(("a", "b", "c", "d"), 10.0, packages, steps, hopeless).floors_c == ()
    assert separable_effects((), 10.0, packages[:1], steps, []).floors_c == ()


def test_what_measures_have_together_counts_by_the_square_of_a_packages_share():
    """By hand: all save to 0.64, the package to 0.8, half of its logarithm: a quarter of what all have together.

    A package that saves nothing or costs heat has none of it, one that saves more than all has all of it.
    """
    logarithms, together = [0.1, -0.2, 0.4], 0.4
    for ratio, share in ((0.8, 0.25), (0.64, 1.0), (1.0, 0.0), (1.1, 0.0), (0.5, 1.0)):
        assert estimate(logarithms, (0,), ratio, 0.64) == pytest.approx(np.exp(0.1 + share * together))
        assert estimate(logarithms, (0, 1), ratio, 0.64) == pytest.approx(np.exp(-0.1 + share * together))
    assert estimate(logarithms, (0,), 0.8, 1.0) == pytest.approx(np.exp(0.1))  # all together save nothing


def test_few_combinations_are_simulated():
    assert simulated_subsets(0) == []
    assert simulated_subsets(1) == [(0,)]
    assert simulated_subsets(2) == [(0,), (1,), (0, 1)]
    assert len(simulated_subsets(12)) == 12 + 1 + 4
    assert simulated_floors(10.0, [10.0, 11.0]) == (11.0,)
    assert simulated_floors(10.000000000000057, [8.0, 9.0, 10.0, 10.000000000000057, 14.0]) == (8.0, 14.0)


def test_a_parabola_through_zero_comes_back_from_two_of_its_points():
    """By hand: 3 s + 2 s^2 is 2 at s = -2, 44 at 4, and 5 at 1; from one point there is only the line through it."""
    two = {-2.0: {"kwh": np.array([2.0])}, 4.0: {"kwh": np.array([44.0])}}
    assert _through(two, "kwh", np.array([[1.0], [-2.0], [4.0], [0.0]]))[:, 0] == pytest.approx([5.0, 2.0, 44.0, 0.0])
    assert _through({4.0: two[4.0]}, "kwh", np.array([[1.0]]))[0, 0] == pytest.approx(11.0)
