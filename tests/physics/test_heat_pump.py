"""The heat pump's curve against Carnot, and its shape."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermal import data
from thermal.physics.heat_pump import heat_pump_cop


def test_the_curve_in_use_stays_below_carnot():
    """Second law: heat at 35 degC from outdoor air takes at least (35 - t)/308.15 of it as work; real units reach
    about half of that (common practice, no source)."""
    curve_c, curve_cop, coldest = data.heat_pump()
    outdoor = np.linspace(coldest, 15.0, 50)
    carnot = 308.15 / (35.0 - outdoor)
    share = heat_pump_cop(outdoor, curve_c, curve_cop, coldest) / carnot
    assert np.all(share < 0.6)
    assert np.all(share > 0.2)


@given(st.floats(-40.0, 30.0), st.floats(0.1, 5.0))
def test_milder_air_never_costs_more(outdoor, step):
    curve = (-15.0, 0.0, 10.0), (2.0, 3.0, 4.5), -15.0
    assert heat_pump_cop(outdoor + step, *curve) >= heat_pump_cop(outdoor, *curve)


def test_points_of_the_curve_and_half_way_between():
    curve = (-15.0, 0.0, 10.0), (2.0, 3.0, 4.5), -15.0
    got = heat_pump_cop(np.array([-15.001, -15.0, -7.5, 0.0, 5.0, 10.0, 40.0]), *curve)
    np.testing.assert_allclose(got, [1.0, 2.0, 2.5, 3.0, 3.75, 4.5, 4.5], rtol=1e-3)


def test_one_outdoor_temperature_is_one_number():
    assert float(heat_pump_cop(0.0, (0.0, 1.0), (3.0, 4.0), -5.0)) == pytest.approx(3.0)
