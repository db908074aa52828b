"""Packages whose measures set the same keys to the same values are simulated once."""

from __future__ import annotations

import numpy as np
import pytest

from thermal.analysis.design_results import design_results
from thermal.analysis.design_study import design_study, study_results
from thermal.analysis.measure_packages import first_of_equals, package_plans
from thermal.plan.reader import plan_of

FOAM, LID = "tank.insulation", "tank.top"
SETS = [{FOAM: "XPS 25 mm"}, {LID: "snug foam lid"}, {FOAM: "XPS 100 mm"}]
EQUALS = [0, 1, 2, 3, 4, 3, 6, 6]  # of two foams the later one counts, with the lid and without it


@pytest.fixture
def plan(workshop):
    return plan_of({**workshop, "measure": [{"name": f"m{i}", "cost": 10, "set": keys} for i, keys in enumerate(SETS)]})


def test_of_two_measures_on_one_part_the_later_counts(plan):
    assert first_of_equals(plan) == EQUALS
    plans = package_plans(plan)
    assert all(plans[number] == plans[first] for number, first in enumerate(EQUALS))
    assert len({plan.tanks for plan in plans}) == len(set(EQUALS))


def test_an_equal_package_has_the_results_of_its_own_simulation(plan, case_with):
    case = case_with({"climate.winters": [2016], "climate.coldest_night": "none", "measure": list(_tables(plan))})
    study = design_study(case, comparison=True)
    assert len(np.unique(study.simulated_as[study.packages])) == len(set(EQUALS))
    results = study_results(study)
    assert len(results) == study.samples.stop
    alone = design_results(case, package_plans(case.plan))
    for number in study.packages:
        assert results[number].winter_kwh == pytest.approx(alone[number].winter_kwh, rel=1e-9)
        assert results[number].needed_w == pytest.approx(alone[number].needed_w, abs=1.0)


def _tables(plan):
    return ({"name": item.name, "cost": item.cost, "set": item.set} for item in plan.measures)
