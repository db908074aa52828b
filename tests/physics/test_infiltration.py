"""Air change against published examples; then what any such law must do."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermal.physics import infiltration
from thermal.physics.moist_air import dry_air_density

areas = st.floats(1.0, 2000.0)
winds = st.floats(0.0, 20.0)
differences = st.floats(-40.0, 40.0)


def test_a_house_in_nebraska_leaks_as_in_ashrae():
    """ASHRAE Fundamentals 2005 ch. 27, basic model (from memory): 500 cm2, two stories, 39 K, 6.7 m/s: 265 m3/h."""
    assert 3600.0 * float(infiltration.leakage_flow(500.0, 39.0, 6.7, 2)) == pytest.approx(265.0, abs=0.6)


def test_a_cubic_metre_an_hour_is_a_third_of_a_watt():
    """ISO 13790:2008 has 1200 J/m3K, 0.333 W/K for each m3/h; air of 20 degC has 1 % more."""
    mass = float(dry_air_density(20.0, 0.0, 101325.0)) / 3600.0
    assert float(infiltration.air_change_conductance(mass)) == pytest.approx(1200.0 / 3600.0, rel=0.012)


def test_air_changes_are_volumes_an_hour():
    assert float(infiltration.air_change_flow(1.0, 3600.0)) == 1.0
    assert float(infiltration.door_air_changes(24.0)) == 0.5


@given(areas, differences, winds, st.sampled_from([1, 2, 3]), st.integers(1, 5))
def test_stack_and_wind_add_as_squares(area, difference, wind, stories, shelter):
    both = infiltration.leakage_flow(area, difference, wind, stories, shelter)
    stack = infiltration.leakage_flow(area, difference, 0.0, stories, shelter)
    driven = infiltration.leakage_flow(area, 0.0, wind, stories, shelter)
    assert float(both**2) == pytest.approx(float(stack**2 + driven**2), rel=1e-9, abs=1e-18)
    assert float(infiltration.leakage_flow(area, -difference, wind, stories, shelter)) == float(both)


@given(areas, st.floats(1.0, 20.0), st.sampled_from([1, 2, 3]))
def test_shelter_keeps_wind_out_and_height_draws_more(area, wind, stories):
    flows = [float(infiltration.leakage_flow(area, 0.0, wind, stories, shelter)) for shelter in range(1, 6)]
    assert np.all(np.diff(flows) < 0)
    heights = [float(infiltration.leakage_flow(area, 10.0, 0.0, n)) for n in (1, 2, 3)]
    assert np.all(np.diff(heights) > 0)


def test_no_coefficients_for_four_stories():
    with pytest.raises(KeyError):
        infiltration.leakage_flow(100.0, 10.0, 1.0, 4)
