"""The solver's laws, written for speed, against the plain ones of `thermal.physics`."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thermal.physics import condensation, evaporation, freezing, moist_air, radiation
from thermal.solver import tuned_laws
from thermal.solver.summary_output import damp_hours
from thermal.solver.time_step import frozen

temperature = st.floats(-30.0, 40.0)
ROUNDING = 5e-6  # constants in single precision: 6e-8 of an exponent's terms, which are as large as 29


def test_roots_in_single_precision_are_good_to_six_digits():
    x = np.logspace(-8, 3, 200)
    np.testing.assert_allclose(tuned_laws.root(x, 3), np.cbrt(x), rtol=2e-6)
    np.testing.assert_allclose(tuned_laws.root(x, 6), x ** (1 / 6), rtol=2e-6)


@settings(max_examples=100, deadline=None)
@given(temperature, temperature, st.floats(0.2, 1.0), st.floats(75e3, 103e3))
def test_tuned_laws_are_the_plain_ones(water_c, air_c, humidity, pressure_pa):
    for name in ("saturation_pressure", "water_saturation_pressure"):
        assert getattr(tuned_laws, name)(air_c) == pytest.approx(getattr(moist_air, name)(air_c), rel=ROUNDING)
    wet = moist_air.humidity_ratio(moist_air.water_saturation_pressure(water_c), pressure_pa)
    room = moist_air.humidity_ratio(humidity * moist_air.saturation_pressure(air_c), pressure_pa)
    vapour_pa = moist_air.vapour_pressure(room, pressure_pa)
    assert tuned_laws.humidity_ratio(vapour_pa, pressure_pa) == pytest.approx(room, rel=ROUNDING)
    densities = [moist_air.dry_air_density(t, w, pressure_pa) for t, w in ((water_c, wet), (air_c, room))]
    assert tuned_laws.dry_air_density(air_c, room, pressure_pa) == pytest.approx(densities[1], rel=ROUNDING)
    state = (*densities, wet, room, pressure_pa)
    g = evaporation.mass_transfer_coefficient(*state)
    assert tuned_laws.mass_transfer_coefficient(*state) == pytest.approx(g, rel=ROUNDING)
    assert tuned_laws.convective_coefficient(g) == pytest.approx(evaporation.convective_coefficient(g), rel=ROUNDING)
    enthalpy = evaporation.replaced_vapour_enthalpy(water_c, 8.0)
    assert tuned_laws.replaced_vapour_enthalpy(water_c, 8.0) == pytest.approx(enthalpy, rel=ROUNDING)
    assert tuned_laws.radiative_coefficient(air_c, 0.95) == pytest.approx(
        radiation.radiative_coefficient(air_c, 0.95), rel=ROUNDING
    )


@settings(max_examples=50, deadline=None)
@given(st.floats(-20.0, 20.0), st.floats(0.0, 1e7), st.floats(1e4, 1e6))
def test_freezing_in_place_is_the_plain_law(water_c, ice_j, capacity):
    water = np.array([[water_c]])
    ice, given_j = frozen(water, np.array([[ice_j]]), np.array([[capacity]]), np.array([[1e7]]))
    plain_c, plain_j = freezing.water_and_ice(water_c, ice_j, capacity, 1e7)
    assert water[0, 0] == pytest.approx(float(plain_c), abs=1e-9)
    assert ice[0, 0] == pytest.approx(float(plain_j), abs=1e-6)
    assert given_j[0, 0] == pytest.approx(float(plain_j) - ice_j, abs=1e-6)


def test_damp_hours_are_those_of_the_plain_law():
    """A grid of half kelvins, none of which lies within rounding of the limit."""
    inside = np.arange(2.0, 20.0, 0.5)[:, None]
    beyond, ratio, share = np.full_like(inside, -7.3), np.arange(0.002, 0.012, 0.00037), 0.21
    wet, mouldy = damp_hours(inside, beyond, ratio, np.array(share), 101325.0)
    vapour_pa = moist_air.vapour_pressure(ratio)
    surface, corner = (
        condensation.surface_temperature(inside, beyond, drop)
        for drop in (share, condensation.corner_drop_share(share))
    )
    np.testing.assert_array_equal(wet, condensation.is_condensing(vapour_pa, surface))
    np.testing.assert_array_equal(mouldy, condensation.is_mould_possible(vapour_pa, corner))
    assert 0 < wet.sum() < mouldy.sum() < wet.size
