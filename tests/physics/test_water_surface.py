"""What water gives off: against figures of the trade and a worked table; then limits."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thermal.physics import evaporation, moist_air, natural_convection, radiation, water_surface
from thermal.physics.constants import EMISSIVITY_WALL, EMISSIVITY_WATER

quick = settings(max_examples=50, deadline=None)
SEA_LEVEL = 101325.0


def wall_film(height: float, difference: float, mean: float) -> float:
    convective = natural_convection.vertical_film_coefficient(
        *natural_convection.vertical_film_terms(height, mean), difference
    )
    return float(convective + radiation.radiative_coefficient(mean, EMISSIVITY_WALL))


def test_bare_water_loses_by_three_ways_of_one_size():
    """Water of 15 degC in air and surfaces of 5 degC at 80 %, worked out apart from this code with CoolProp and
    PsychroLib (refs water.md): latent 70, longwave 49, convection 42 W/m2; whole watts, and Shah's own roots: 3 %."""
    wet = moist_air.humidity_ratio(moist_air.water_saturation_pressure(15.0))
    room = moist_air.humidity_ratio(0.8 * moist_air.saturation_pressure(5.0))
    densities = (moist_air.dry_air_density(t, w, SEA_LEVEL) for t, w in ((15.0, wet), (5.0, room)))
    g = evaporation.mass_transfer_coefficient(*densities, wet, room, SEA_LEVEL)
    convective = evaporation.convective_coefficient(g)
    radiative = radiation.radiative_coefficient(10.0, EMISSIVITY_WATER)
    vapour = water_surface.evaporation_conductance(1.0, g) * (wet - room)
    assert float(vapour * moist_air.latent_heat(15.0)) == pytest.approx(70.0, rel=0.03)
    longwave = water_surface.surface_longwave_conductance(1.0, convective, radiative)
    assert 10.0 * float(longwave) == pytest.approx(49.0, rel=0.03)
    convection = water_surface.surface_convection_conductance(1.0, convective, radiative)
    assert 10.0 * float(convection) == pytest.approx(42.0, rel=0.03)


@pytest.mark.parametrize(
    ("insulation_r", "low", "high"),
    [(0.0, 4.0, 10.0), (0.025 / 0.033, 1.05, 1.4), (0.05 / 0.033, 0.55, 0.75), (0.1 / 0.033, 0.3, 0.45)],
)
def test_tank_sides_lose_what_growers_reckon(insulation_r, low, high):
    """Common practice, no source (refs growers.md): foam of 25, 50 and 100 mm 1.05-1.4, 0.55-0.75, 0.3-0.45 W/m2K;
    a bare side, in still air, 4 and more."""
    film = wall_film(0.6, 10.0 if insulation_r == 0.0 else 2.0, 10.0)
    assert low <= float(water_surface.wall_conductance(1.0, film, insulation_r)) <= high


def test_a_snug_lid_leaves_a_tenth():
    """0.9 m2K/W behind films of 10 W/m2K: a tenth of the dry heat."""
    assert float(water_surface.lid_factor(4.5, 5.5, 0.9)) == pytest.approx(0.1)


@quick
@given(st.floats(0.5, 20.0), st.floats(0.5, 20.0))
def test_an_endless_lid_leaves_nothing_and_none_leaves_all(convective, radiative):
    assert float(water_surface.lid_factor(convective, radiative, 0.0)) == 1.0
    assert float(water_surface.lid_factor(convective, radiative, 1e9)) < 1e-8


@quick
@given(st.floats(0.1, 10.0), st.floats(1e-4, 1e-2), st.floats(0.0, 1.0))
def test_a_cover_takes_its_share_of_evaporation(area, g, share):
    whole = water_surface.evaporation_conductance(area, g)
    assert float(water_surface.evaporation_conductance(area, g, share)) == pytest.approx(
        share * float(whole), abs=1e-15
    )
    np.testing.assert_allclose(whole, area * g)
