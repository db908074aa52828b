"""Moist air against steam tables and PsychroLib; then what any such law must do."""

from __future__ import annotations

import iapws
import numpy as np
import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermal.physics import moist_air

psychrolib.SetUnitSystem(psychrolib.SI)
SEA_LEVEL = 101325.0
celsius = st.floats(-40.0, 50.0)
below_zero = st.floats(-40.0, -0.01)
ratios = st.floats(0.0, 0.05)
pressures = st.floats(7e4, 1.06e5)


@pytest.mark.parametrize("t", [-30.0, -20.0, -10.0, -5.0, -1.0])
def test_saturation_over_ice_is_that_of_iapws(t):
    """iapws: sublimation pressure of IAPWS R14-08 (2011). The Magnus form is within 0.5 % to -30 degC."""
    theirs = iapws._iapws._Sublimation_Pressure(t + 273.15) * 1e6
    assert float(moist_air.saturation_pressure(t)) == pytest.approx(theirs, rel=5e-3)


@pytest.mark.parametrize("t", [-20.0, -10.0, -5.0])
def test_saturation_over_supercooled_water_is_that_of_wmo(t):
    """WMO-No. 8 (2018) annex 4.B, over water: 611.2 exp(17.62 t/(243.12 + t)), stated for -45 to 60 degC; 0.5 %."""
    theirs = 611.2 * np.exp(17.62 * t / (243.12 + t))
    assert float(moist_air.water_saturation_pressure(t)) == pytest.approx(theirs, rel=5e-3)


@pytest.mark.parametrize(
    ("t", "ratio", "volume"),
    [(-10.0, 0.001279, 0.74701), (0.0, 0.003016, 0.77755), (10.0, 0.005321, 0.80899), (20.0, 0.011701, 0.84608)],
)
def test_dry_air_density_is_one_over_the_specific_volume_of_psychrolib(t, ratio, volume):
    """PsychroLib 2.5.0, m3 of moist air for each kilogram of dry air, five digits."""
    assert 1.0 / float(moist_air.dry_air_density(t, ratio, SEA_LEVEL)) == pytest.approx(volume, rel=5e-5)


@pytest.mark.parametrize(
    ("t", "rh", "dew_point"), [(5.0, 0.8, 1.841), (10.0, 0.9, 8.437), (15.0, 0.6, 7.307), (20.0, 0.5, 9.272)]
)
def test_vapour_saturates_at_the_dew_point_of_psychrolib(t, rh, dew_point):
    """PsychroLib 2.5.0 dew points, three decimals; both saturation formulas are within 0.15 %: 0.03 K."""
    vapour = rh * moist_air.saturation_pressure(t)
    assert moist_air.saturation_pressure(dew_point - 0.03) < vapour < moist_air.saturation_pressure(dew_point + 0.03)


@pytest.mark.parametrize(
    ("height", "pressure"), [(0.0, 101325.0), (500.0, 95461.0), (1000.0, 89874.0), (2000.0, 79495.0)]
)
def test_pressure_is_that_of_the_standard_atmosphere(height, pressure):
    """U.S. Standard Atmosphere 1976, table by geopotential height (from memory), whole pascals."""
    assert float(moist_air.pressure_at(height)) == pytest.approx(pressure, rel=2e-5)


@given(below_zero)
def test_ice_holds_less_vapour_than_supercooled_water(t):
    assert moist_air.saturation_pressure(t) < moist_air.water_saturation_pressure(t)


@given(st.floats(0.0, 50.0))
def test_above_freezing_both_are_one(t):
    assert moist_air.saturation_pressure(t) == moist_air.water_saturation_pressure(t)


@given(celsius, st.floats(0.01, 5.0))
def test_warmer_air_holds_more(t, step):
    assert moist_air.saturation_pressure(t + step) > moist_air.saturation_pressure(t)
    assert moist_air.water_saturation_pressure(t + step) > moist_air.water_saturation_pressure(t)


@given(st.floats(0.0, 6000.0), pressures)
def test_humidity_ratio_and_vapour_pressure_are_inverse(vapour, pressure):
    back = moist_air.vapour_pressure(moist_air.humidity_ratio(vapour, pressure), pressure)
    assert float(back) == pytest.approx(vapour, rel=1e-12)


@given(celsius, ratios, pressures)
def test_dry_air_and_vapour_fill_the_pressure(t, ratio, pressure):
    """Partial pressures add up: rho R T of the dry air and the vapour's own."""
    dry = moist_air.dry_air_density(t, ratio, pressure) * 287.042 * (t + 273.15)
    assert float(dry + moist_air.vapour_pressure(ratio, pressure)) == pytest.approx(pressure, rel=1e-12)


@given(st.floats(0.0, 3000.0), st.floats(1.0, 500.0))
def test_air_thins_with_height(height, step):
    assert moist_air.pressure_at(height + step) < moist_air.pressure_at(height)


@given(st.floats(0.0, 40.0))
def test_heat_of_evaporation_is_that_of_ashrae(t):
    """PsychroLib's vapour enthalpy of ASHRAE ch. 1 eq. 30, 2501 + 1.86 t, less the liquid's 4.186 t: within 0.15 %."""
    vapour = psychrolib.GetMoistAirEnthalpy(t, 1.0) - psychrolib.GetDryAirEnthalpy(t)
    assert float(moist_air.latent_heat(t)) == pytest.approx(vapour - 4186.0 * t, rel=1.5e-3)


@given(st.floats(-20.0, 40.0), pressures)
def test_thin_air_is_more_viscous_in_proportion(t, pressure):
    thin = moist_air.air_kinematic_viscosity(t, pressure)
    assert float(thin * pressure) == pytest.approx(float(moist_air.air_kinematic_viscosity(t, 1.0)), rel=1e-12)
    assert moist_air.air_kinematic_viscosity(t + 1.0) > moist_air.air_kinematic_viscosity(t)
    assert moist_air.air_conductivity(t + 1.0) > moist_air.air_conductivity(t)
