"""The solver's laws, written for speed, against the plain ones of `thermal.physics`."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thermal.physics import evaporation, moist_air, radiation
from thermal.physics.freezing import water_and_ice
from thermal.solver import tuned_laws
from thermal.solver.tuned_laws import freeze

temperature = st.floats(-30.0, 40.0)
ROUNDING = 5e-6  # constants in single precision: 6e-8 of an exponent's terms, which are as large as 29


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


def test_freezing_in_place_is_the_plain_law():
    generator, shape = np.random.default_rng(7), (2, 500)
    water_c, ice_j = generator.uniform(-0.5, 0.5, shape), generator.choice([0.0, 1e6], shape)
    capacity, limit = generator.uniform(1e5, 5e6, shape), np.full(shape, 2e6)
    capacity[0, :50] = 0.0  # a drained bed
    expected_c, expected_j = water_and_ice(water_c, ice_j, capacity, limit)
    held_c = water_c.copy()
    ice, given_j = freeze(held_c, ice_j, capacity, limit)
    np.testing.assert_allclose(held_c, expected_c, atol=1e-12)
    np.testing.assert_allclose(ice, expected_j, rtol=1e-12)
    np.testing.assert_allclose(given_j, expected_j - ice_j, rtol=1e-12, atol=1e-9)
