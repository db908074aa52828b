"""Evaporation against published tables and examples; then what any such law must do."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from thermal.physics import evaporation, moist_air

SEA_LEVEL = 101325.0
water = st.floats(1.0, 35.0)
room = st.floats(-5.0, 35.0)
share = st.floats(0.2, 1.0)


def coefficient(water_c: float, air_c: float, rh: float) -> tuple[float, float]:
    """Mass-transfer coefficient, and the humidity ratios' difference."""
    wet = moist_air.humidity_ratio(moist_air.water_saturation_pressure(water_c))
    dry = moist_air.humidity_ratio(rh * moist_air.saturation_pressure(air_c))
    densities = (moist_air.dry_air_density(t, w, SEA_LEVEL) for t, w in ((water_c, wet), (air_c, dry)))
    return float(evaporation.mass_transfer_coefficient(*densities, wet, dry, SEA_LEVEL)), float(wet - dry)


@pytest.mark.parametrize(
    ("water_c", "air_c", "printed"), [(28.0, 30.0, 0.0968), (29.0, 29.0, 0.1463), (30.0, 28.0, 0.1959)]
)
def test_free_convection_is_that_of_shahs_table(water_c, air_c, printed):
    """Shah 2014, ASHRAE Trans. 120(2) SE-14-001, unoccupied pools, air of 50 % [kg/m2h]; four decimals, 0.5 %."""
    g, difference = coefficient(water_c, air_c, 0.5)
    assert 3600.0 * g * difference == pytest.approx(printed, rel=5e-3)


def test_cold_water_under_warm_air_evaporates_by_vapour_pressure():
    """Shah 2014: E = 5e-5 (p_w - p_r) where the air at the surface is the heavier. IAPWS-95 has 1705.8 Pa at 15 degC,
    2339.2 at 20; each of ours is within 0.15 %, their difference within 0.6 %."""
    g, difference = coefficient(15.0, 20.0, 0.5)
    assert 3600.0 * g * difference == pytest.approx(5e-5 * (1705.793 - 0.5 * 2339.2), rel=6e-3)


def test_a_wet_can_in_a_breeze_cools_to_its_wet_bulb():
    """Cengel, Heat and Mass Transfer, Ex. 14-12: 19.4 degC in air of 30 degC and 40 %. The book takes densities of
    vapour at two temperatures and Le 0.8564, we take humidity ratios and Le 0.866: 0.5 K."""
    w_air = moist_air.humidity_ratio(0.4 * moist_air.saturation_pressure(30.0))

    def excess_heat(t: float) -> float:
        vapour = moist_air.humidity_ratio(moist_air.saturation_pressure(t)) - w_air
        return float(evaporation.convective_coefficient(1.0) * (30.0 - t) - vapour * moist_air.latent_heat(t))

    assert brentq(excess_heat, 5.0, 30.0) == pytest.approx(19.4, abs=0.5)


@given(water, room, share)
def test_wetter_air_takes_less(water_c, air_c, rh):
    g, difference = coefficient(water_c, air_c, rh)
    damper, less = coefficient(water_c, air_c, min(rh + 0.05, 1.0))
    assert g > 0
    if less > 0:
        assert damper * less <= g * difference


@given(st.floats(0.6, 1.3), st.floats(0.0, 0.03))
def test_equal_air_at_surface_and_in_the_room_gives_a_finite_coefficient(density, ratio):
    g = evaporation.mass_transfer_coefficient(density, density, ratio, ratio, SEA_LEVEL)
    assert np.isfinite(g)
    assert float(g) == pytest.approx(5e-5 / 3600.0 * 0.621945 * SEA_LEVEL / (0.621945 + ratio) ** 2, rel=1e-12)


@given(water, st.floats(0.0, 25.0))
def test_cold_make_up_water_costs_its_warming(water_c, tap_c):
    """The latent heat, and 4.19 kJ for each kelvin that the tap is colder than the water."""
    extra = evaporation.replaced_vapour_enthalpy(water_c, tap_c) - moist_air.latent_heat(water_c)
    assert float(extra) == pytest.approx(4190.0 * (water_c - tap_c), abs=1e-6)
