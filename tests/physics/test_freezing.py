"""Freezing: calorimetry by the steam tables; then what any enthalpy must do."""

from __future__ import annotations

import iapws
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermal.physics import freezing
from thermal.physics.constants import CP_WATER

temperatures = st.floats(-5.0, 25.0)
capacities = st.floats(1e4, 1e7)


def test_ice_melts_in_warm_water_as_the_tables_have_it():
    """1 kg of ice at 0 degC in 3 kg of water of 10 degC, all of it one vessel: 0.378 kg melts.

    IAPWS-06 and IF97 by iapws: 333.4 kJ/kg, and 4.20 kJ/kgK on average. The model has one heat capacity for all four
    kilograms, so water of 10 degC beside the ice stands for 7.5 degC of the whole; its 4.19 kJ/kgK is low by 0.26 %
    and its 333.55 kJ/kg high by 0.04 %: together 0.3 %.
    """
    ice, water = iapws._iapws._Ice(273.15, 0.101325)["h"], iapws.IAPWS97(T=273.16, P=0.101325).h
    warm = iapws.IAPWS97(T=283.15, P=0.101325).h
    melts = 3.0 * (warm - water) / (water - ice)
    limit = freezing.ice_limit(4.0)
    t, left = freezing.water_and_ice(7.5, freezing.ice_limit(1.0), 4.0 * CP_WATER, limit)
    assert float(t) == 0.0
    assert 1.0 - float(left / freezing.ice_limit(1.0)) == pytest.approx(melts, rel=4e-3)


@given(temperatures, st.floats(0.0, 1.0), capacities)
def test_a_second_look_changes_nothing(water_c, part, capacity):
    limit = capacity * 80.0
    once = freezing.water_and_ice(water_c, part * limit, capacity, limit)
    twice = freezing.water_and_ice(*once, capacity, limit)
    np.testing.assert_allclose(twice[0], once[0], atol=1e-9)
    np.testing.assert_allclose(twice[1], once[1], rtol=1e-9, atol=1e-3)


@given(st.floats(0.001, 25.0), capacities)
def test_warm_water_without_ice_is_left_alone(water_c, capacity):
    t, ice = freezing.water_and_ice(water_c, 0.0, capacity, 80.0 * capacity)
    assert (float(t), float(ice)) == (water_c, 0.0)


@given(st.floats(-300.0, -80.1), capacities)
def test_water_frozen_through_gets_colder_than_zero(water_c, capacity):
    t, ice = freezing.water_and_ice(water_c, 0.0, capacity, 80.0 * capacity)
    assert float(ice) == 80.0 * capacity
    assert float(t) == pytest.approx(water_c + 80.0, rel=1e-9)


def test_a_drained_bed_divides_nothing_by_zero():
    t, ice = freezing.water_and_ice(-3.0, 0.0, 0.0, 0.0)
    assert (float(t), float(ice)) == (-3.0, 0.0)
