"""Beds that drain: one pump stop by hand; then what mixing must do."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermal.physics import flood_drain

temperatures = st.floats(0.0, 30.0)
capacities = st.floats(1e5, 1e7)


def test_three_litres_at_20_and_one_at_60_are_four_at_30():
    """Calorimetry by hand: (3 x 20 + 1 x 60)/4."""
    assert float(flood_drain.mixed_temperature(3.0, 20.0, 1.0, 60.0)) == 30.0


def test_the_receiver_mixes_and_the_giver_keeps_its_own():
    """A bed of 5 gives 3 at 10 degC to a tank of 6 at 19: tank (6 x 19 + 3 x 10)/9 = 16; back again: bed
    (2 x 10 + 3 x 16)/5 = 13.6, the tank as it was."""
    bed, tank = flood_drain.switched_temperatures(10.0, 19.0, 5.0, 6.0, 3.0)
    assert (float(bed), float(tank)) == (10.0, 16.0)
    bed, tank = flood_drain.switched_temperatures(bed, tank, 2.0, 9.0, -3.0)
    assert float(bed) == pytest.approx(13.6)
    assert float(tank) == 16.0


@given(temperatures, capacities, capacities, st.floats(-0.9, 0.9))
def test_equal_temperatures_stay_equal(t, bed, tank, part):
    moved = part * (bed if part > 0 else tank)
    after = flood_drain.switched_temperatures(t, t, bed, tank, moved)
    np.testing.assert_allclose(after, (t, t), rtol=1e-12, atol=1e-12)


@given(temperatures, temperatures, capacities, capacities)
def test_a_pump_that_keeps_on_changes_nothing(bed_c, tank_c, bed, tank):
    after = flood_drain.switched_temperatures(bed_c, tank_c, bed, tank, 0.0)
    assert (float(after[0]), float(after[1])) == (bed_c, tank_c)


def test_each_design_of_a_batch_switches_for_itself():
    """Three columns: drains, floods, stays."""
    bed, tank = flood_drain.switched_temperatures(
        np.array([10.0, 10.0, 10.0]), np.array([19.0, 19.0, 19.0]), 5.0, 6.0, np.array([3.0, -3.0, 0.0])
    )
    np.testing.assert_allclose(bed, [10.0, (5 * 10 + 3 * 19) / 8, 10.0])
    np.testing.assert_allclose(tank, [16.0, 19.0, 19.0])
