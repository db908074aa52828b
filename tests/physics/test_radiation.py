"""Longwave radiation against the fourth powers."""

from __future__ import annotations

import ht
import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermal.physics.radiation import radiative_coefficient


def test_a_hot_plate_is_that_of_the_textbook():
    """Cengel, Heat and Mass Transfer, Ex. 9-2 (result from memory): 182 W from 0.36 m2, 90 to 30 degC, black. The
    linear form is low by (60/2/333)^2 = 0.8 %."""
    assert float(radiative_coefficient(60.0, 1.0)) * 60.0 * 0.36 == pytest.approx(182.0, rel=0.01)


@pytest.mark.parametrize(("warm", "cold", "flux"), [(10.0, 5.0, 23.817401), (20.0, 5.0, 75.385531)])
def test_water_radiates_as_in_ht(warm, cold, flux):
    """ht 1.2.0 q_rad(0.95): fourth powers [W/m2]; the linear form is low by (dT/2T)^2, 0.07 % at 15 K."""
    ours = float(radiative_coefficient(0.5 * (warm + cold), 0.95)) * (warm - cold)
    assert ours == pytest.approx(flux, rel=1e-3)


@given(st.floats(-30.0, 40.0), st.floats(0.1, 40.0), st.floats(0.05, 1.0))
def test_it_is_low_by_the_square_it_says(mean, difference, emissivity):
    """T1^4 - T2^4 = 4 Tm^3 dT (1 + (dT/2Tm)^2), exactly; ht has the Stefan-Boltzmann constant of CODATA 2014."""
    exact = ht.radiation.q_rad(emissivity, mean + difference / 2 + 273.15, mean - difference / 2 + 273.15)
    ours = float(radiative_coefficient(mean, emissivity)) * difference
    assert ours * (1.0 + (difference / 2 / (mean + 273.15)) ** 2) == pytest.approx(exact, rel=2e-6)


@given(st.floats(-30.0, 40.0), st.floats(0.05, 0.5))
def test_twice_the_emissivity_is_twice_the_heat(mean, emissivity):
    assert float(radiative_coefficient(mean, 2.0 * emissivity)) == pytest.approx(
        2.0 * float(radiative_coefficient(mean, emissivity)), rel=1e-12
    )
