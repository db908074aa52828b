"""Heaters are sized for a rare cold spell; energy and cost stay those of the weather as recorded."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.analysis.quick import assess
from thermal.analysis.case import group_by_topology
from thermal.analysis.design_study import comparison_of, design_study, study_results
from thermal.analysis.heater_choice import choose_heater
from thermal.analysis.heater_sizing import size_heaters
from thermal.analysis.plan_weather import scene_of
from thermal.climate.design_winter import design_weather
from thermal.plan.reader import plan_of, with_settings
from thermal.report import sentences
from thermal.report.json_csv import assessment_json, packages_json

pytestmark = pytest.mark.no_cover  # other tests cover these lines; tracing adds half as much again

OFF = {"climate.coldest_night": "none"}
PLANS = {
    "as it is": {},
    "slow": {"tank.insulation": "XPS 100 mm", "tank.top": "snug foam lid", "bed.top": "snug foam lid"},
    "heated room": {"heater.where": "room"},
}


@pytest.mark.parametrize("settings", PLANS.values(), ids=PLANS)
def test_some_weeks_are_as_good_as_the_whole_winter(case_with, settings):
    case = case_with(settings)
    whole = design_weather(case.weather, case.rare_cold.outdoor_c, whole=True)
    batch = group_by_topology([case.plan], case.weather)[0]
    cut_w, whole_w = (float(size_heaters(batch, design).needed_w[0]) for design in (case.design, whole))
    print(f"needed {cut_w:.1f} W in {case.design.winters[0].hours} h, {whole_w:.1f} W in the whole winter")
    assert cut_w == pytest.approx(whole_w, rel=0.01)
    assert cut_w > 1.03 * float(size_heaters(batch, None).needed_w[0])


def test_a_colder_record_needs_more_and_none_takes_the_weather_as_recorded(case_with):
    needed = {
        name: choose_heater(case_with(settings))[0]
        for name, settings in {"off": OFF, "default": {}, "record": {"climate.coldest_night": "-34 degC"}}.items()
    }
    assert needed["off"].needed_w < 0.95 * needed["default"].needed_w
    assert needed["default"].needed_w < 0.95 * needed["record"].needed_w
    assert case_with(OFF).rare_cold is None
    assert case_with(OFF).design is None


def test_the_power_needed_follows_the_depth_as_the_heat_loss_does(case_with):
    """By hand: the loss grows with the difference to outdoors, less what mass takes up in a spell of some days.

    What leaks in by stack effect grows with its power 1.5, and is less than half of the loss.
    """
    case, record = case_with({}), case_with({"climate.coldest_night": "-34 degC"})
    default_w, record_w = (choose_heater(one)[0].needed_w for one in (case, record))
    off_w = choose_heater(case_with(OFF))[0].needed_w
    per_k = (record_w - default_w) / (case.rare_cold.outdoor_c - record.rare_cold.outdoor_c)
    first = (default_w - off_w) / (case.rare_cold.recorded_c - case.rare_cold.outdoor_c)
    assert first == pytest.approx(per_k, rel=0.15)
    assert 0.3 < per_k / (off_w / (10.0 - case.rare_cold.recorded_c)) < 1.25


def test_money_is_that_of_the_weather_as_recorded(case_with):
    owned = {"heater.units": ["1000 W", "1000 W"]}
    without, with_spell = (assess(case_with({**owned, **cold})) for cold in (OFF, {}))
    assert with_spell.heater.needed_w > without.heater.needed_w
    assert with_spell.season.winter_costs == without.season.winter_costs
    assert with_spell.season.months == without.season.months
    assert with_spell.unheated == without.unheated
    assert with_spell.damp == without.damp
    outages = [replace(one.outage, warnings=(), heat_wh_median=0.0) for one in (with_spell, without)]
    assert outages[0] == outages[1]
    assert with_spell.outage.heat_wh_median == pytest.approx(without.outage.heat_wh_median, rel=1e-9)
    answers = [assessment_json(one) for one in (without, with_spell)]
    assert answers[0]["season"] == answers[1]["season"]
    assert len(answers[1]["climate"]["winters"]) == len(answers[0]["climate"]["winters"]) == 3


@pytest.mark.parametrize("where", ["water", "room"])
def test_money_of_packages_is_that_of_the_weather_as_recorded(workshop, where):
    """Heaters to buy are larger for the spell, so in the coldest hours as recorded they can give a little more heat."""
    packages = []
    for cold in (OFF, {}):
        document = with_settings({**workshop, "measure": workshop["measure"][:1]}, {**cold, "heater.where": where})
        study = design_study(scene_of(plan_of(document)), comparison=True)
        packages.append(packages_json(comparison_of(study, study_results(study))))
    for without, with_spell in zip(*packages, strict=True):
        assert with_spell["needed_w"] > without["needed_w"]
        assert with_spell["kwh"] == pytest.approx(without["kwh"], rel=1e-3)
        assert with_spell["winter_cost"] == pytest.approx(without["winter_cost"], rel=1e-3)
        assert with_spell["outage_h"] == without["outage_h"]


def test_heaters_too_small_for_the_spell_are_too_small(case_with):
    """Watts between those for the winters as recorded and those for the rare cold spell."""
    recorded_w, needed_w = (choose_heater(case_with(spell))[0].needed_w for spell in (OFF, {}))
    units = {"heater.units": [f"{(recorded_w + needed_w) / 4.0:.0f} W"] * 2}
    assert choose_heater(case_with({**units, **OFF}))[0].hours_below == 0
    found = assess(case_with(units))
    assert found.heater.hours_below > 0
    assert found.heater.coldest_c < 10.0
    assert "Your heaters are too small" in sentences.verdict(found)


def test_the_answer_states_the_spell_and_its_peak(case_with):
    found = assess(case_with({}))
    answer, rare = assessment_json(found), found.case.rare_cold
    assert answer["climate"]["rare_cold"]["outdoor_c"] == rare.outdoor_c < rare.recorded_c
    assert answer["design_hour"]["in_rare_cold"] is True
    assert answer["design_hour"]["heater_w"] >= answer["heater"]["needed_w"] - 1.0
    units = {"heater.units": ["800 W", "800 W"]}
    failed_c = [choose_heater(case_with({**units, **spell}))[0].one_failed_c for spell in ({}, OFF)]
    assert failed_c[0] < failed_c[1]
    assert f"down to {rare.outdoor_c:.1f} °C outdoors (about once in 20 years" in sentences.basis(found.case)
    off = assessment_json(assess(case_with(OFF)))
    assert off["climate"]["rare_cold"] is None
    assert off["design_hour"]["in_rare_cold"] is False
    assert "cold spell" not in sentences.basis(case_with(OFF))


def test_the_record_low_is_named_as_the_plans(case_with):
    case = case_with({"climate.coldest_night": "-30 degC"})
    assert "-30.0 °C outdoors (the record low of the plan" in sentences.basis(case)
    us = replace(case, plan=replace(case.plan, units="us"))
    assert "-22.0 °F outdoors" in sentences.basis(us)


@pytest.mark.parametrize("settings", list(PLANS.values())[:2], ids=list(PLANS)[:2])
def test_the_weeks_before_a_spell_stand_for_the_winter_before_it(case_with, settings):
    """The heater found in the spells is enough for the whole winters, and 3 W less is not."""
    case = case_with({**settings, **OFF})
    needed_w = float(size_heaters(group_by_topology([case.plan], case.weather)[0], None).needed_w[0])
    margins = case.simulate(case.heaters(np.array([needed_w, needed_w - 3.0]))).coldest_c - case.plan.keep.floor_c
    assert margins[0].min() > 0.0
    assert margins[1].min() < 0.0
