"""Plans that share a batch have the figures that `run` gives each of them alone."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.analysis.quick import assess
from tests.cli.small_tables import TANK, short_climate
from thermal.analysis.case import case_in
from thermal.analysis.design_study import design_study, study_results, uncertainty_of
from thermal.analysis.heater_sizing import TOLERANCE_W
from thermal.analysis.plan_weather import weather_of
from thermal.analysis.shared_batch import figures_of_plans
from thermal.errors import SizingError
from thermal.plan.example_plans import example_path
from thermal.plan.reader import document_of, plan_of, with_settings

SAMPLES = 20
GARAGE = example_path("garage-metric").read_text("utf-8")


def cases_of(text, climate, *variants):
    document = {**document_of(text, "plan"), "climate": climate}
    plans = [plan_of(with_settings(document, settings)) for settings in variants]
    climate, weather = weather_of(plans[0])
    return [case_in(plan, climate, weather) for plan in plans]


def check_bands(figures, case, names):
    study = design_study(case, samples=SAMPLES)
    single = uncertainty_of(study, study_results(study))
    assert set(names) <= set(single.bands)
    for name in names:
        for end in ("low", "middle", "high"):
            own, other = (getattr(band.bands[name], end) for band in (figures.uncertainty, single))
            assert own == pytest.approx(other, rel=2e-3), name
    return single


def test_a_garage_and_its_variants_are_as_alone(tmp_path):
    variants = (
        {"keep.species": ["goldfish", "lettuce"]},
        {"power.price": 0.5, "heater.units": ["300 W"]},
        {"room.air_changes": 2.0, "power.price": 0.1},
    )
    cases = cases_of(GARAGE, {"file": short_climate(tmp_path)}, *variants)
    figures = figures_of_plans(cases, SAMPLES)[1]
    assessment = assess(cases[1], check_bands(figures, cases[1], ["needed_w"]))
    energy = assessment.season
    assert figures.result.needed_w == pytest.approx(assessment.heater.needed_w, abs=TOLERANCE_W)
    assert figures.buy_w == assessment.heater.buy_w != ()
    for kwh, bill in ((figures.result.kwh, energy.median), (figures.result.worst_kwh, energy.worst)):
        assert kwh == pytest.approx(energy.winter_costs[bill].kwh, rel=2e-4)
    assert figures.result.cost == pytest.approx(energy.winter_costs[energy.median].cost, rel=2e-4)
    assert figures.result.outage_h == pytest.approx(assessment.outage.to_floor.worst, rel=0.02)
    assert figures.result.mould_h == assessment.damp.mould_hours
    assert figures.coldest_unheated_c == pytest.approx(assessment.coldest.coldest_c, abs=1e-3)
    expected = [(item.name, item.water_ok, item.hours_air) for item in assessment.verdict.inhabitants]
    assert [(item.name, item.water_ok, item.hours_air) for item in figures.verdict.inhabitants] == expected


def test_energy_and_bands_of_a_whole_winter_are_as_alone():
    cases = cases_of(TANK, {"series": "golden-co"}, {}, {"power.monthly_charge": 5.0, "keep.floor": "14 degC"})
    first, second = figures_of_plans(cases, SAMPLES)
    assert second.result.kwh > 1.2 * first.result.kwh
    check_bands(second, cases[1], ["needed_w", "kwh", "cost"])


def test_a_plan_without_an_answer_does_not_stop_the_others(tmp_path):
    boiling = {"pump.power": "5 kW", "pump.flow": "10 L/h"}
    cases = cases_of(TANK, {"file": short_climate(tmp_path)}, {}, boiling)
    fine, hot = figures_of_plans(cases, 0)
    assert fine.result.needed_w > 0
    assert fine.uncertainty is None
    assert isinstance(hot, SizingError)
    assert "would boil the water" in str(hot)


def test_the_order_of_the_plans_does_not_matter(tmp_path):
    cases = cases_of(TANK, {"file": short_climate(tmp_path)}, {}, {"keep.floor": "12 degC"})
    first, second = figures_of_plans(cases, 0)
    turned = figures_of_plans(cases[::-1], 0)
    for figures, other in ((first, turned[1]), (second, turned[0])):
        assert replace(figures.result, closure=0.0).needed_w == pytest.approx(other.result.needed_w, abs=TOLERANCE_W)
        assert figures.buy_w == other.buy_w
