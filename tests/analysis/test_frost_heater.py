"""A heater in the air beside those in the water, against the plan with heaters in the water alone."""

from __future__ import annotations

from dataclasses import replace

import pytest

from thermal.analysis.assessment import assess
from thermal.analysis.frost_heater import heat_air_as_well


def test_an_idle_heater_in_the_air_leaves_the_water_as_it_was(case_with):
    """Set far below any air, it gives nothing: energy and cost are those of the plan, at most 5 % more.

    The water may not warm above its thermostat here, so that it stores no heat on mild days: that is the 5 %.
    """
    case = case_with({"climate.winters": [2016]})
    assessment = assess(case)
    (plants,) = assessment.verdict.plants_too_cold
    idle = heat_air_as_well(case, (replace(plants, lowest_air_c=-40.0),), 0)
    bill = assessment.season.winter_costs[0]
    assert 0.99 * bill.kwh < idle.kwh < 1.05 * bill.kwh
    assert 0.99 * bill.cost < idle.cost < 1.05 * bill.cost
    assert idle.coldest_air_c == pytest.approx(plants.coldest_air_c, abs=0.1)
    assert idle.meaning.endswith(" and 0 W in the air")
    helpful = next(item for item in assessment.verdict.remedies if item.name == "heat the room's air as well")
    assert helpful.coldest_air_c == pytest.approx(1.0, abs=0.01)
    assert helpful.kwh > idle.kwh


def test_it_is_left_out_where_the_air_is_heated_or_given(case_with):
    plants = assess(case_with({"climate.winters": [2016]}), remedies=False).verdict.plants_too_cold
    for settings in ({"heater.where": "room"}, {"room.temperature": "-1 degC"}):
        assert heat_air_as_well(case_with({"climate.winters": [2016], **settings}), plants, 0) is None
