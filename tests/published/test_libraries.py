"""Properties and coefficients against reference libraries, at points drawn at random."""

from __future__ import annotations

import ht
import iapws
import psychrolib
import pytest
from CoolProp.CoolProp import HAPropsSI, PropsSI
from hypothesis import given, settings
from hypothesis import strategies as st

from thermal.physics import moist_air, natural_convection, pipe_loss, radiation

psychrolib.SetUnitSystem(psychrolib.SI)
water_c = st.floats(0.1, 40.0)
room_c = st.floats(-30.0, 35.0)
share = st.floats(0.1, 1.0)


@settings(max_examples=40, deadline=None)
@given(water_c)
def test_saturation_pressure_is_that_of_iapws95_and_if97(t):
    """CoolProp (IAPWS-95) and iapws (IF97); our form claims 0.15 %."""
    ours = float(moist_air.saturation_pressure(t))
    assert ours == pytest.approx(PropsSI("P", "T", t + 273.15, "Q", 0, "Water"), rel=1.5e-3)
    assert ours == pytest.approx(iapws.IAPWS97(T=t + 273.15, x=0).P * 1e6, rel=1.5e-3)


@settings(max_examples=40, deadline=None)
@given(water_c)
def test_latent_heat_is_that_of_iapws95(t):
    """CoolProp: vapour less liquid enthalpy; our line claims 0.06 %."""
    steam, liquid = (PropsSI("H", "T", t + 273.15, "Q", q, "Water") for q in (1, 0))
    assert float(moist_air.latent_heat(t)) == pytest.approx(steam - liquid, rel=6e-4)


@settings(max_examples=60, deadline=None)
@given(room_c, share)
def test_humidity_ratio_is_that_of_ashrae(t, rh):
    """psychrolib (ASHRAE Fundamentals 2017 ch. 1): real steam over ice differs by 0.6 % at -30 degC."""
    ours = float(moist_air.humidity_ratio(rh * moist_air.saturation_pressure(t)))
    assert ours == pytest.approx(psychrolib.GetHumRatioFromRelHum(t, rh, 101325.0), rel=7e-3)


@settings(max_examples=40, deadline=None)
@given(st.floats(0.5, 35.0), share)
def test_humidity_ratio_is_that_of_real_moist_air(t, rh):
    """CoolProp HAPropsSI has the enhancement factor, 0.45 % (refs water.md section 2.1)."""
    ours = float(moist_air.humidity_ratio(rh * moist_air.saturation_pressure(t)))
    assert ours == pytest.approx(HAPropsSI("W", "T", t + 273.15, "P", 101325.0, "R", rh), rel=7e-3)


@settings(max_examples=40, deadline=None)
@given(room_c, share)
def test_densities_add_up_to_moist_air(t, rh):
    """psychrolib: moist density is dry air plus its vapour."""
    w = float(moist_air.humidity_ratio(rh * moist_air.saturation_pressure(t)))
    dry = float(moist_air.dry_air_density(t, w, 101325.0))
    assert dry * (1 + w) == pytest.approx(psychrolib.GetMoistAirDensity(t, w, 101325.0), rel=1e-3)


@settings(max_examples=40, deadline=None)
@given(st.floats(4, 11), st.floats(0.68, 0.75))
def test_vertical_plate_is_that_of_ht(log_ra, pr):
    """ht Nu_vertical_plate_Churchill takes Prandtl and Grashof."""
    ra = 10.0**log_ra
    assert float(natural_convection.vertical_plate_nusselt(ra, pr)) == pytest.approx(
        ht.Nu_vertical_plate_Churchill(pr, ra / pr), rel=1e-9
    )


@settings(max_examples=40, deadline=None)
@given(st.floats(2, 11), st.floats(0.68, 0.75))
def test_horizontal_cylinder_is_that_of_ht(log_ra, pr):
    """ht Nu_horizontal_cylinder_Churchill_Chu (Churchill & Chu 1975) takes Prandtl and Grashof."""
    ra = 10.0**log_ra
    assert float(pipe_loss.cylinder_nusselt(ra, pr)) == pytest.approx(
        ht.Nu_horizontal_cylinder_Churchill_Chu(pr, ra / pr), rel=1e-9
    )


@settings(max_examples=40, deadline=None)
@given(st.floats(0.01, 0.2), st.floats(0.001, 0.1), st.floats(0.02, 0.3))
def test_pipe_insulation_is_that_of_ht(inner, thickness, k):
    """ht R_cylinder (Incropera), for one metre."""
    ours = float(pipe_loss.cylindrical_resistance(inner, thickness, k))
    assert ours == pytest.approx(ht.R_cylinder(inner, inner + 2 * thickness, k, 1.0), rel=1e-9)


@pytest.mark.parametrize("diameter", [0.02, 0.04, 0.11])
def test_a_bare_pipe_in_air_is_that_of_ht(diameter):
    """CoolProp air at 10 degC, ht's cylinder and its radiation at 0.9; ours has a fixed Prandtl number."""
    nu = PropsSI("V", "T", 283.15, "P", 101325, "Air") / PropsSI("D", "T", 283.15, "P", 101325, "Air")
    pr, k = (PropsSI(name, "T", 283.15, "P", 101325, "Air") for name in ("PRANDTL", "L"))
    grashof = 9.80665 / 283.15 * 10.0 * diameter**3 / nu**2
    convective = ht.Nu_horizontal_cylinder_Churchill_Chu(pr, grashof) * k / diameter
    theirs = convective + ht.radiation.q_rad(0.9, 288.15, 278.15) / 10.0
    ra_per_k = natural_convection.rayleigh_per_kelvin(diameter, 10.0)
    ours = float(pipe_loss.pipe_transmittance(diameter, 0.0, ra_per_k)) / (3.141592653589793 * diameter)
    assert ours == pytest.approx(theirs, rel=5e-3)


@settings(max_examples=40, deadline=None)
@given(st.floats(0.0, 35.0), st.floats(0.5, 20.0))
def test_longwave_is_that_of_ht(warm, difference):
    """ht q_rad has the fourth powers; the linear form is off by (dT/2T)^2, below 0.13 % at 20 K."""
    ours = float(radiation.radiative_coefficient(warm - difference / 2, 0.95)) * difference
    theirs = ht.radiation.q_rad(0.95, warm + 273.15, warm - difference + 273.15)
    assert ours == pytest.approx(theirs, rel=1.5e-3)


def test_pressure_falls_with_height_as_in_the_standard_atmosphere():
    """psychrolib GetStandardAtmPressure, U.S. Standard Atmosphere."""
    for height in (0.0, 180.0, 1876.0):
        assert float(moist_air.pressure_at(height)) == pytest.approx(
            psychrolib.GetStandardAtmPressure(height), rel=1e-4
        )
