"""The vapour balance against its differential equation and its steady state."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermal.physics import humidity_balance

flows = st.floats(1e-3, 0.1)
ratios = st.floats(1e-3, 0.02)


def advanced(ratio, air_kg, change, outside, evaporation, water, condensing, side, seconds, steps):
    """Humidity ratio after some time, in steps of one length, without a ceiling."""
    held = air_kg * steps / seconds
    demand = humidity_balance.vapour_demand(held, change, evaporation)
    share = humidity_balance.dry_share(held, demand)
    gain = humidity_balance.dry_gain(change, outside, evaporation * water, demand)
    wet_share = humidity_balance.wet_share(demand, condensing)
    for _ in range(steps):
        dry = humidity_balance.dry_humidity_ratio(ratio, share, gain)
        ratio = humidity_balance.new_humidity_ratio(dry, humidity_balance.wet_humidity_ratio(dry, wet_share, side), 1.0)
    return float(ratio)


def test_small_steps_follow_the_exponential():
    """Air of 90 kg, 0.02 kg/s taken in, water on 0.005 kg/s, all sides dry: dW/dt = (m (W_o - W) + gA (W_w - W))/M by
    algebra, so W = W_ss + (W_0 - W_ss) exp(-t (m + gA)/M). First order: ten times the steps, a tenth of the error."""
    steady = (0.02 * 0.003 + 0.005 * 0.009) / 0.025
    exact = steady + (0.007 - steady) * math.exp(-3600.0 * 0.025 / 90.0)
    errors = [
        abs(advanced(0.007, 90.0, 0.02, 0.003, 0.005, 0.009, 0.01, 1.0, 3600.0, steps) - exact) for steps in (30, 300)
    ]
    assert errors[1] / exact < 1e-3
    assert errors[0] / errors[1] == pytest.approx(10.0, rel=0.05)


def test_a_wet_side_follows_its_own_exponential():
    """The same with a side of 0.01 kg/s, saturated at 0.002: it takes part in steady state and in time constant."""
    total = 0.02 + 0.005 + 0.01
    steady = (0.02 * 0.003 + 0.005 * 0.009 + 0.01 * 0.002) / total
    exact = steady + (0.007 - steady) * math.exp(-3600.0 * total / 90.0)
    assert advanced(0.007, 90.0, 0.02, 0.003, 0.005, 0.009, 0.01, 0.002, 3600.0, 3000) == pytest.approx(exact, rel=1e-3)


@given(ratios, flows, ratios, flows, ratios, flows, ratios)
def test_the_air_ends_between_its_sources(start, change, outside, evaporation, water, condensing, side):
    """However long, never beyond the driest and wettest that it meets; a side only dries."""
    end = advanced(start, 50.0, change, outside, evaporation, water, condensing, side, 36000.0, 10)
    assert min(start, outside, water, side) - 1e-15 <= end <= max(start, outside, water) + 1e-15
    dry = advanced(start, 50.0, change, outside, evaporation, water, condensing, 1.0, 36000.0, 10)
    assert end <= dry + 1e-15


@given(ratios, ratios, st.floats(0.01, 0.2))
def test_a_dry_side_gives_no_heat(dry, side, demand):
    """The side takes vapour only when its saturation lies below the air's humidity."""
    wet = humidity_balance.wet_humidity_ratio(dry, humidity_balance.wet_share(demand, 0.02), side)
    heat = float(humidity_balance.condensation_heat(dry, humidity_balance.new_humidity_ratio(dry, wet, 1.0), demand))
    assert (heat > 0.0) == (float(wet) < dry)
