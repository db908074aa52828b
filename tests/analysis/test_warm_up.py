"""Warming a newly filled tank, against a closed form, and against a simulation of its own for the heater of a day."""

from __future__ import annotations

import numpy as np
import pytest

from thermal.analysis.heater_choice import choose_heater
from thermal.analysis.warm_up import warm_up
from thermal.analysis.winter_energy import winter_energy
from thermal.report.warm_up_text import warm_up_sentence

CLOSED = {
    "climate.winters": [2016], "climate.coldest_night": "none", "pump.flow": "0 L/h", "pump.power": "0 W",
    "room.lights.power": "0 W", "room.temperature": "5 degC", "tank.top": "XPS 100 mm", "tank.insulation": "XPS 100 mm",
    "tank.stands_on": "XPS 100 mm on frame", "heater.units": ["600 W"], "keep.floor": "12 degC",
    "keep.thermostat": "15 degC",
}  # fmt: skip


def warm(case):
    heater, shown, cold, _ = choose_heater(case)
    return warm_up(case, shown, heater, winter_energy(case, shown, cold))


def test_a_closed_tank_warms_as_the_closed_form_says(case_with):
    """905 kg from 2 to 12 degC by 600 W in air of 5 degC: tau ln((T_end - T_0)/(T_end - T)), T_end = 5 + 600/UA.

    Water holds 905 x 4,190 J/K. By hand UA of 100 mm XPS at 0.033 W/mK, bottom and top 1.13 m2, sides 3.02 m2, films
    of about 0.2 m2K/W: 5.28/3.2 = 1.6 W/K; the lid's tenth of evaporation doubles that at most.
    """
    found = warm(case_with({**CLOSED, "water.start_temperature": "2 degC"}, drop=("bed",)))
    tau_h = 905.0 * 4190.0 / 3600.0
    low, high = (tau_h / ua * np.log((3.0 + 600.0 / ua) / (600.0 / ua - 7.0)) for ua in (1.6, 3.2))
    assert 0.99 * low < found.hours < 1.01 * high
    assert found.kwh == pytest.approx(0.6 * found.hours, rel=1e-3)
    assert found.rise_in_hour_k == pytest.approx(600.0 * 3600.0 / (905.0 * 4190.0), rel=0.03)
    assert found.hours_worst >= found.hours
    day_low, day_high = (905.0 * 4190.0 * 10.0 / 86400.0 + ua * 2.0 for ua in (1.6, 3.2))  # on the way at 7 degC mean
    assert 0.98 * day_low < found.heater_for_a_day_w < 1.02 * day_high


def test_the_sentence_says_time_heater_and_pace(case_with):
    """From tap water."""
    found = warm(case_with(CLOSED, drop=("bed",)))
    assert found.start_c == 7.0
    said = warm_up_sentence(found, "us")
    assert said.startswith("Warm-up of newly filled water from 44.6 °F to 53.6 °F with heaters of 600 W:")
    assert "in 24 h from every start. The water rises by up to" in said
    assert "fish tolerate about 5 °F a day (advice of a koi veterinarian" in said
