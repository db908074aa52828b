"""A sample runs through the hardest winters and its own only, and has the figures that all winters would give."""

from __future__ import annotations

import tomllib
from dataclasses import replace

import numpy as np
import pytest

from thermal.analysis.case import case_in
from thermal.analysis.design_results import design_results
from thermal.analysis.winter_columns import NO_WINTER, OF_EACH_KIND, SampleDesigns, every_winter, winter_at
from thermal.climate.cold_spells import hardest_winters
from thermal.climate.heating_seasons import winters_of
from thermal.climate.library import load_climate
from thermal.plan.reader import plan_of, variant, with_settings

pytestmark = pytest.mark.no_cover  # other tests cover these lines; tracing adds half as much again


@pytest.fixture(scope="module")
def case(workshop_text):
    climate = load_climate("lorraine-fr")
    changes = {"climate.series": "lorraine-fr", "climate.sky": False, "climate.sun": False}
    plan = plan_of(with_settings({**tomllib.loads(workshop_text), "measure": []}, changes))
    return case_in(plan, climate, winters_of(climate, tuple(range(1997, 2013))))


def test_fewer_winters_give_the_figures_of_all(case):
    """A poor and a foamed sample: heater, unheated water, power cut and worst winter as with every winter simulated."""
    foamed = variant(case.plan, {"tank.insulation": "XPS 100 mm", "bed.insulation": "XPS 100 mm"})
    plans = [case.plan, case.plan, foamed]
    assert (
        len(hardest_winters(case.weather, OF_EACH_KIND)) < len(case.weather.winters) - 3
    )  # or this test could not fail
    mild = int(np.setdiff1d(np.arange(len(case.weather.winters)), hardest_winters(case.weather, OF_EACH_KIND))[0])
    _, *samples = design_results(case, plans, SampleDesigns(range(3), np.array([mild, mild])))
    complete = design_results(case, plans)[1:]
    for sample, whole in zip(samples, complete, strict=True):
        assert sample.needed_w == pytest.approx(whole.needed_w, abs=1.0)
        assert sample.outage_h == pytest.approx(whole.outage_h, rel=0.05)  # from heaters needed, not those to buy
        assert sample.worst_kwh == pytest.approx(whole.worst_kwh, rel=0.001)
        assert sample.kwh == pytest.approx(whole.winter_kwh[mild], rel=0.001)
        assert len(sample.winter_kwh) < len(whole.winter_kwh)


def test_a_sample_has_the_hardest_winters_and_its_own(case):
    hardest = hardest_winters(case.weather, OF_EACH_KIND)
    mild = next(winter for winter in range(len(case.weather.winters)) if winter not in hardest)
    columns = every_winter(np.array([NO_WINTER, mild, hardest[0]]), case.weather)
    assert set(columns.winter[columns.design == 0]) == set(range(len(case.weather.winters)))
    assert set(columns.winter[columns.design == 1]) == {*hardest.tolist(), mild}
    assert set(columns.winter[columns.design == 2]) == set(hardest.tolist())


def test_shares_from_0_to_1_draw_each_complete_winter_as_often(case):
    weather = replace(
        case.weather, winters=(replace(case.weather.winters[0], complete=False), *case.weather.winters[1:])
    )
    drawn = winter_at(weather, (np.arange(150) + 0.5) / 150)
    assert np.bincount(drawn, minlength=16).tolist() == [0, *[10] * 15]
    means = [weather.outdoor_c[weather.row_range(winter), winter].mean() for winter in drawn]
    assert means == sorted(means, reverse=True)  # the mildest first
