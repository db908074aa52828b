"""A cover with an opening, and a pump that pauses, in the network of a plan."""

from __future__ import annotations

import numpy as np
import pytest

from thermal.analysis.case import hours_of
from thermal.analysis.remedies import COVERED, remedy_ladders
from thermal.analysis.verdict import air_around, air_at_plants, has_night_cover

FLOAT = {"tank.top": "floating foam"}
QUICK = {"climate.winters": [2016], "climate.coldest_night": "none"}
GIVEN = {**QUICK, "room.temperature": "5 degC", "keep.thermostat": "15 degC", "keep.floor": "15 degC"}


def watts_of(case):
    run = case.simulate(case.heaters(np.array([5000.0])), hourly_output=True)
    return run.hourly_output.heater_w[2000:2400, 0].mean(), run


def test_a_fifth_open_takes_a_fifth_of_the_way_to_an_open_tank(case_with):
    """Water held at 15 degC in air of 5 degC: each part of the surface loses as if it were alone, by proportion."""
    covered, open_, partly = (
        case_with({**GIVEN, **settings}, drop=("bed",))
        for settings in (FLOAT, {"tank.top": "open"}, {**FLOAT, "tank.top_share": 0.8})
    )
    (closed_w, _), (open_w, _), (partly_w, run) = (watts_of(case) for case in (covered, open_, partly))
    assert partly_w == pytest.approx(closed_w + 0.2 * (open_w - closed_w), rel=1e-4)
    assert partly.plan.tanks[0].opening.surface_m2 == pytest.approx(0.2 * partly.plan.tanks[0].surface_m2)
    assert run.closure.max() < 1e-6


def test_a_night_cover_that_is_there_counts_for_the_plants(case_with):
    """Air under it is warmer than the room's at night and the same by day; it is not offered a second time."""
    case = case_with({**QUICK, "bed.night_top": "loose lid"})
    bare = case_with(QUICK)
    assert has_night_cover(case.plan)
    assert COVERED not in [way[0] for ladder in remedy_ladders(case.plan) for way in ladder]
    assert COVERED in [way[0] for ladder in remedy_ladders(bare.plan) for way in ladder]
    run = case.simulate(case.heaters(np.array([2000.0])), hourly_output=True)
    hours = hours_of(case, run, 0, 0)
    gained = air_at_plants(case, hours) - air_around(case, hours)
    day = (hours.hour_of_day >= 8) & (hours.hour_of_day < 20)
    assert (gained[day] == 0.0).all()
    cold = ~day & (air_around(case, hours) < 5.0)
    assert (gained[cold] > 0.0).all()


def test_a_pump_by_duty_takes_power_for_its_minutes(case_with):
    plan = case_with({"pump.duty": "15 min on, 45 min off", "pump.power": "40 W"}).plan
    assert plan.pump.duty == (900.0, 3600.0)
    assert set(plan.pump.hours) == {0.25}
    lights_w = plan.electric_w - 40.0
    assert lights_w == pytest.approx(case_with({"pump.power": "40 W"}).plan.electric_w - 40.0)
