"""Pipes with the pump off, by hand for a bare pipe in air of one temperature."""

from __future__ import annotations

import math

import numpy as np
import pytest

from thermal.analysis.frozen_pipes import _standing, frozen_pipes
from thermal.report.frozen_pipes_text import frozen_pipe_sentence

COLD = {"climate.winters": [2016], "climate.coldest_night": "none"}
PIPE = {"name": "return pipe", "length": "10 m", "diameter": "40 mm"}


@pytest.fixture(scope="module")
def found(case_with):
    case = case_with({**COLD, "room.temperature": "-5 degC", "pipe": [PIPE, {**PIPE, "insulation": "pipe foam 13 mm"}]})
    run = case.simulate(case.heaters(np.array([0.0, 5000.0])), hourly_output=True)
    return frozen_pipes(case, run)


def test_a_bare_pipe_by_hand(found):
    """0.8 of 40 mm is 1.005 kg/m, 4,210 J/mK; a film of 8 to 10.5 W/m2K gives U = 1.0 to 1.3 W/mK, and from 10 degC in
    air of -5 degC C/U ln 3 until ice, then 1.005 x 333.55e3/(5 U)."""
    bare, foamed = found
    ice_h = [4210.0 / u * math.log(3.0) / 3600.0 for u in (1.32, 1.0)]
    solid_h = [hours + 1.005 * 333.55e3 / (5.0 * u) / 3600.0 for hours, u in zip(ice_h, (1.32, 1.0), strict=True)]
    assert ice_h[0] < bare.hours_to_ice < ice_h[1]
    assert solid_h[0] < bare.hours_to_solid < solid_h[1]
    assert 10.0 < bare.cable_w_per_m < 13.2
    assert bare.cable_w == pytest.approx(10.0 * bare.cable_w_per_m)
    assert foamed.hours_to_ice > 2.0 * bare.hours_to_ice
    assert bare.hours_frozen == 212 * 24


def test_standing_water_follows_the_air_with_its_lag():
    """A step from 5 to -5 degC: 5 + 10 (1 - exp(-t)) down, at 0 degC after ln 2 time constants."""
    water_c = _standing(np.array([5.0] * 3 + [-5.0] * 9), math.log(2.0) / 4.0)
    assert water_c[2] == 5.0
    assert water_c[6] == pytest.approx(0.0, abs=1e-12)
    assert water_c[10] == pytest.approx(-2.5)


def test_the_sentence_says_hours_and_cable(found):
    said = frozen_pipe_sentence(found[0], "us")
    assert said.startswith("return pipe in air down to 23.0 °F (winter 2016): with the pump off, ice begins after")
    assert "W/ft holds it at 41.0 °F" in said


def test_a_warm_room_freezes_no_pipe(case_with):
    case = case_with({**COLD, "room.temperature": "12 degC", "pipe": [PIPE]})
    run = case.simulate(case.heaters(np.array([0.0, 500.0])), hourly_output=True)
    (pipe,) = frozen_pipes(case, run)
    assert pipe.hours_to_ice is None
    assert pipe.hours_frozen == 0
    assert frozen_pipe_sentence(pipe, "metric").endswith("it does not freeze with the pump off.")
