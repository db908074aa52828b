"""Cold surfaces: figures of the standards; then what any surface must do."""

from __future__ import annotations

import numpy as np
import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermal.physics import condensation
from thermal.physics.moist_air import saturation_pressure
from thermal.physics.wall_resistance import side_transmittance

psychrolib.SetUnitSystem(psychrolib.SI)
airs = st.floats(0.0, 25.0)
drops = st.floats(0.0, 0.9)


@pytest.mark.parametrize(("t", "rh", "dew_point"), [(5.0, 0.8, 1.841), (10.0, 0.9, 8.437), (20.0, 0.8, 16.447)])
def test_walls_run_wet_below_the_dew_point_of_psychrolib(t, rh, dew_point):
    """PsychroLib 2.5.0, three decimals; ours within 0.15 % of vapour pressure, 0.03 K."""
    vapour = rh * saturation_pressure(t)
    assert condensation.is_condensing(vapour, dew_point - 0.03)
    assert not condensation.is_condensing(vapour, dew_point + 0.03)


@pytest.mark.parametrize(("t", "rh"), [(8.0, 0.7), (15.0, 0.6), (20.0, 0.5)])
def test_mould_begins_where_the_surface_has_80_per_cent(t, rh):
    """ISO 13788:2012, 80 % at the surface: PsychroLib's dew point of 1/0.8 of the vapour."""
    vapour = rh * float(saturation_pressure(t))
    limit = psychrolib.GetTDewPointFromVapPres(t, vapour / 0.8)
    assert condensation.is_mould_possible(vapour, limit - 0.05)
    assert not condensation.is_mould_possible(vapour, limit + 0.05)


def test_the_wall_and_its_factor_are_one_statement():
    """f_Rsi = 1 - drop share, by the definition of ISO 13788:2012 section 3."""
    u = float(side_transmittance(2.0))
    f_rsi = condensation.surface_temperature_factor(u, 0.13)
    surface = condensation.surface_temperature(20.0, -5.0, condensation.surface_drop_share(u))
    assert float((surface + 5.0) / 25.0) == pytest.approx(float(f_rsi), rel=1e-12)


@given(airs, st.floats(-30.0, 25.0), drops)
def test_a_surface_lies_between_the_two_airs(inside, beyond, drop):
    surface = float(condensation.surface_temperature(inside, beyond, drop))
    assert min(inside, beyond) - 1e-9 <= surface <= max(inside, beyond) + 1e-9


@given(drops.filter(lambda drop: drop > 1e-6))
def test_a_corner_has_the_same_wall_behind_a_thicker_film(drop):
    """R behind the film stays: 0.13 (1/s - 1) = 0.25 (1/s_corner - 1)."""
    corner = float(condensation.corner_drop_share(drop))
    assert 0.25 * (1.0 / corner - 1.0) == pytest.approx(0.13 * (1.0 / drop - 1.0), rel=1e-9)


@given(st.floats(100.0, 3000.0), st.floats(-20.0, 25.0))
def test_what_runs_wet_is_humid_enough_for_mould(vapour, surface):
    if condensation.is_condensing(vapour, surface):
        assert condensation.is_mould_possible(vapour, surface)


def test_a_perfect_wall_is_as_warm_as_the_air():
    np.testing.assert_array_equal(condensation.corner_drop_share(np.array([0.0, 0.0])), [0.0, 0.0])
    assert float(condensation.surface_temperature(10.0, -10.0, 0.0)) == 10.0


@given(st.floats(1.0, 100.0))
def test_a_cold_side_takes_vapour_as_its_film_takes_heat(area):
    """Vapour and heat by one film: 2.5 W/m2K of ISO 6946:2017 annex C over 1006 x 0.908 J/kgK."""
    assert float(condensation.condensing_conductance(area)) == pytest.approx(area * 2.5 / (1006.0 * 0.908), rel=1e-12)
