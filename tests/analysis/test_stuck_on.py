"""A heater stuck on behind a timer or a cut-out, and what a timer does to the heater needed."""

from __future__ import annotations

import numpy as np
import pytest

from thermal.analysis.heater_choice import choose_heater
from thermal.errors import SizingError
from thermal.report.stuck_on_text import stuck_on_sentence

CLOSED = {
    "climate.winters": [2016], "climate.coldest_night": "none", "pump.flow": "0 L/h", "pump.power": "0 W",
    "room.lights.power": "0 W", "room.temperature": "5 degC", "tank.top": "XPS 25 mm", "tank.stands_on": "frame",
    "heater.units": ["500 W"], "keep.thermostat": "14 degC",
}  # fmt: skip
NIGHT = {"heater.hours": "22:00-06:00"}


def heater_of(case):
    return choose_heater(case)[0]


@pytest.fixture(scope="module")
def bare(case_with):
    return heater_of(case_with(CLOSED, drop=("bed",)))


def test_a_cut_out_holds_the_water_at_its_setting(case_with, bare):
    case = case_with({**CLOSED, "heater.cut_out": "16 degC"}, drop=("bed",))
    guarded = heater_of(case)
    assert bare.stuck_on_c > 17.0
    assert bare.stuck_on_unguarded_c == bare.stuck_on_c == guarded.stuck_on_unguarded_c
    assert guarded.stuck_on_c == 16.0
    assert guarded.needed_w == bare.needed_w
    said = stuck_on_sentence(case.plan, guarded)
    assert said.startswith("If a heater sticks on, the water warms to 16.0 °C with the cut-out at 16.0 °C (")


def test_a_third_of_the_day_warms_by_a_third(case_with, bare):
    """By hand: the mean excess over air of 5 degC follows the mean power, a third; warmer water loses a little more for
    each kelvin, up to a fifth here. 500 W less 167 W for 8 h bring 905 kg of water 2.5 K up, half of it above the mean.
    """
    timed = heater_of(case_with({**CLOSED, **NIGHT}, drop=("bed",)))
    third = (bare.stuck_on_c - 5.0) / 3.0
    assert third < timed.stuck_on_c - 5.0 < 1.2 * third + 0.5 * 2.53
    assert timed.needed_w > 1.5 * bare.needed_w


def test_no_heat_comes_outside_of_its_hours(case_with):
    case = case_with({**CLOSED, **NIGHT}, drop=("bed",))
    run = case.simulate(case.heaters(np.array([500.0]), 500.0), hourly_output=True)
    watts = run.hourly_output.heater_w[: 24 * 30, 0].reshape(-1, 24)
    assert (watts[:, 6:22] == 0.0).all()
    assert (watts[:, [*range(6), 22, 23]] == 500.0).all()


def test_a_timer_that_is_too_short_says_so(case_with):
    with pytest.raises(SizingError, match="gives the heaters power for 1 h a day no heater keeps the water"):
        heater_of(
            case_with({**CLOSED, "tank.top": "open", "heater.hours": "12:00-13:00", "heater.units": []}, ("bed",))
        )
