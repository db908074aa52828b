"""A house, or a heated room, that is cooler at night: by a closed form, by the plan without it, in words."""

from __future__ import annotations

import numpy as np
import pytest

from thermal.analysis.case import hours_of
from thermal.analysis.heater_choice import choose_heater
from thermal.analysis.night_setback import night_setback
from thermal.analysis.winter_energy import winter_energy
from thermal.errors import PlanError
from thermal.plan.reader import plan_of, with_settings
from thermal.report.night_setback_text import night_setback_sentence

QUICK = {"climate.winters": [2016], "climate.coldest_night": "none"}
STILL = {"pump.flow": "0 L/h", "pump.power": "0 W", "room.lights.power": "0 W"}
CLOSED = {"tank.top": "XPS 100 mm", "tank.insulation": "XPS 100 mm", "tank.stands_on": "XPS 100 mm on frame"}
GIVEN = {"room.temperature": "18 degC", "room.night_temperature": "6 degC", "room.night_hours": "22:00-06:00"}


def unheated_tank(case):
    run = case.simulate(case.heaters(np.zeros(1)), hourly_output=True)
    hours = hours_of(case, run, 0, 0)
    nodes = case.network.vessels.water_nodes
    wall_and_top = sum(hours.vessel(name, -1) for name in ("wall_w_per_k", "convection_w_per_k", "longwave_w_per_k"))
    return hours.end(nodes[-1], nodes), wall_and_top, hours.vessel("latent_w", -1)


def test_a_closed_tank_swings_as_the_closed_form_says(case_with):
    """Square wave of 12 K, 8 h in 24, through a constant conductance: T approaches each level exponentially.

    By hand: with a = exp(-8 h/tau), b = exp(-16 h/tau) the steady swing is 12 K (1 - a)(1 - b)/(1 - a b).
    """
    case = case_with({**QUICK, **STILL, **CLOSED, **GIVEN}, drop=("bed",))
    tank, wall_and_top, latent = unheated_tank(case)
    vessel = case.plan.tanks[0]
    conductance = wall_and_top[3000:].mean() + vessel.bottom_m2 / (vessel.base_r_m2k_per_w + 0.17)
    tau_h = vessel.capacity_j_per_k / conductance / 3600.0
    a, b = np.exp(-8.0 / tau_h), np.exp(-16.0 / tau_h)
    days = tank[3000 : 3000 + 24 * 20].reshape(-1, 24)
    swing = 12.0 * (1.0 - a) * (1.0 - b) / (1.0 - a * b)
    assert np.ptp(days, axis=1) == pytest.approx(np.full(20, swing), rel=0.02)
    evaporation_k = latent[3000 : 3000 + 24 * 20].mean() / conductance
    assert days.mean() == pytest.approx(18.0 - 12.0 * 8.0 / 24.0 - evaporation_k, abs=0.1)


def test_it_is_the_difference_to_the_plan_without(case_with):
    """House at 8 degC by night: colder water, more heat; the same figures as two plans."""
    settings = {**QUICK, **STILL}
    cool, warm = (case_with({**settings, **more}) for more in ({"room.house_night_temperature": "8 degC"}, {}))
    (heater, shown, cold, _), without = choose_heater(cool), choose_heater(warm)[0]
    setback = night_setback(cool, shown, heater, winter_energy(cool, shown, cold))
    assert setback.of == "house"
    assert setback.heater_w == pytest.approx(heater.needed_w - without.needed_w, abs=2.0)
    assert setback.heater_w > 0.0
    assert setback.daily_range_k > setback.daily_range_without_k
    assert setback.kwh > 0.0
    said = night_setback_sentence(setback, "us")
    assert said.startswith("The house is at 46.4 °F at night and 68.0 °F by day. Without a heater the coldest water is")
    assert night_setback(warm, shown, heater, winter_energy(cool, shown, cold)) is None


def test_a_room_without_a_side_to_the_house_has_no_house_at_night(workshop):
    changed = with_settings(workshop, {"room.house_night_temperature": "15 degC"})
    for side in changed["room"]["side"]:
        side["faces"] = "outdoors"
    with pytest.raises(PlanError, match="no side of the room faces the house"):
        plan_of(changed)
