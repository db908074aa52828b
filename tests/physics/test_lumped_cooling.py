"""Lumped cooling against published coolings; then what an exponential must do."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermal.physics import lumped_cooling

taus = st.floats(1.0, 500.0)
waters = st.floats(10.0, 35.0)
airs = st.floats(-20.0, 9.0)


def test_a_thermocouple_answers_in_3_6_seconds():
    """Scilab textbook companion 1436, Ex. 8.4: 70 to 200 degC in 300 degC in 3 s: 3.6 s; 242.6 degC after 5 s."""
    tau = float(lumped_cooling.time_constant(3.0, 70.0, 200.0, 300.0))
    assert tau == pytest.approx(3.6, abs=0.05)
    assert float(lumped_cooling.cooled_temperature(70.0, 300.0, 5.0, tau)) == pytest.approx(242.61, abs=0.2)


def test_an_insulated_tank_loses_189_watts():
    """Physicsforums thread 465234: 1 m3 at 90 degC in 10, UA 2.3622 W/K: 189 W."""
    assert float(lumped_cooling.steady_conductance(189.0, 90.0, 10.0)) == pytest.approx(2.3622, rel=2e-3)


@given(waters, airs, taus, st.floats(0.1, 50.0), st.floats(0.1, 50.0))
def test_cooling_twice_is_cooling_for_both_times(before, air, tau, first, second):
    between = lumped_cooling.cooled_temperature(before, air, first, tau)
    twice = lumped_cooling.cooled_temperature(between, air, second, tau)
    once = lumped_cooling.cooled_temperature(before, air, first + second, tau)
    assert float(twice) == pytest.approx(float(once), rel=1e-9, abs=1e-9)


@given(waters, airs, taus)
def test_one_time_constant_leaves_37_per_cent(before, air, tau):
    after = lumped_cooling.cooled_temperature(before, air, tau, tau)
    assert float((after - air) / (before - air)) == pytest.approx(0.3679, abs=1e-4)
