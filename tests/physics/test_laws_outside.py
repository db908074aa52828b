"""Laws without a row in tests/published against figures from outside; every test names its source."""

from __future__ import annotations

import numpy as np
import psychrolib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thermal.physics import (
    condensation,
    flood_drain,
    freezing,
    infiltration,
    lumped_cooling,
    moist_air,
    wall_resistance,
)
from thermal.physics.bed_heat_capacity import water_capacity

psychrolib.SetUnitSystem(psychrolib.SI)


@pytest.mark.parametrize(("hours", "expected"), [(1.0, 89.837566), (24.0, 86.191268), (720.0, 28.516)])
def test_a_tank_cools(hours, expected):
    """Insulated tank of 1 m3, 6 m2 of 50.8 mm at 0.02 W/mK (physicsforums thread 465234): UA 2.3622 W/K, 90 degC in 10.

    The poster's hourly steps are within 0.001 K of the exponential after a day, and 0.02 K after thirty.
    """
    ua = 6.0 / float(wall_resistance.layer_resistance(0.0508, 0.02))
    assert ua == pytest.approx(2.3622, abs=5e-5)
    tau = 1000.0 * 4184.0 / ua / 3600.0
    assert tau == pytest.approx(492.0, abs=0.1)
    assert float(lumped_cooling.cooled_temperature(90.0, 10.0, hours, tau)) == pytest.approx(expected, abs=0.03)


def test_a_body_cools_in_12_hours():
    """Cengel, Ex. 4-2 (inputs published): 37 to 25 degC in air of 20 degC, 1/tau 2.79e-5 1/s: 43,871 s, 12.2 h."""
    tau_h = 1.0 / 2.79e-5 / 3600.0
    assert float(lumped_cooling.time_constant(43_871 / 3600.0, 37.0, 25.0, 20.0)) == pytest.approx(tau_h, rel=0.005)


def test_iron_in_water():
    """Cengel & Boles, Ex. 4-12: 50 kg of iron at 80 degC in 0.5 m3 of water at 25 degC: 25.6 degC."""
    mixed = flood_drain.mixed_temperature(50 * 450.0, 80.0, 500 * 4180.0, 25.0)
    assert float(mixed) == pytest.approx(25.6, abs=0.05)


def test_a_cubic_metre_takes_a_kilowatt_for_over_an_hour():
    """Identity, refs lumped_cooling.json: 1,000 L by 1 K take 1.1628 kWh at 4186 J/kgK and 1 kg/L."""
    assert float(water_capacity(1.0)) / 3.6e6 == pytest.approx(1.1628, rel=0.005)


@settings(max_examples=40, deadline=None)
@given(st.floats(1.0, 30.0), st.floats(0.2, 0.95))
def test_condensation_begins_at_the_dew_point(air_c, humidity):
    """psychrolib GetTDewPointFromRelHum (ASHRAE Fundamentals 2017 ch. 1).

    Our steam is within 0.15 %, 0.03 K, of IAPWS-95 above freezing, and within 0.6 %, 0.1 K, over ice.
    """
    dew_c = psychrolib.GetTDewPointFromRelHum(air_c, humidity)
    vapour_pa = humidity * moist_air.saturation_pressure(air_c)
    assert condensation.is_condensing(vapour_pa, dew_c - 0.1)
    assert not condensation.is_condensing(vapour_pa, dew_c + 0.1)


def test_a_thermal_bridge_at_the_mould_limit():
    """f_Rsi 0.7 is the usual limit against mould: 20 degC, 50 %, -5 degC outdoors (DIN 4108-2, from memory).

    There the surface has 12.5 degC, where the humidity is 80 %: at the limit to a part in a hundred.
    """
    surface_c = condensation.surface_temperature(20.0, -5.0, 1.0 - 0.7)
    vapour_pa = 0.5 * moist_air.saturation_pressure(20.0)
    assert float(surface_c) == pytest.approx(12.5)
    assert float(vapour_pa / moist_air.saturation_pressure(surface_c)) == pytest.approx(0.80, abs=0.01)
    assert condensation.is_mould_possible(vapour_pa, surface_c)
    assert not condensation.is_condensing(vapour_pa, surface_c)


def test_a_garage_wall_behind_a_corner():
    """ISO 13788:2012: R_si 0.25 in place of 0.13. A wall of R 0.87 has U 1 with 0.13, so f_Rsi = 1 - 0.25/1.12."""
    drop = condensation.surface_drop_share(1.0)
    assert float(condensation.corner_drop_share(drop)) == pytest.approx(0.25 / 1.12)
    assert float(condensation.surface_temperature_factor(1.0 / 1.12)) == pytest.approx(1.0 - 0.25 / 1.12)


def test_freezing_a_kilogram():
    """CRC Handbook: 333.55 kJ/kg, so 1 kg that would be at -79.6 degC by its own capacity is all ice at 0 degC."""
    water, ice = freezing.water_and_ice(-333_550.0 / 4190.0, 0.0, 4190.0, freezing.ice_limit(1.0))
    assert float(water) == pytest.approx(0.0, abs=1e-9)
    assert float(ice) == pytest.approx(333_550.0)


def test_air_change_costs_a_third_of_a_watt_hour():
    """1.204 kg/m3 x 1006 J/kgK at 20 degC: 0.336 W/K for each m3/h (ISO 13790 uses 0.333)."""
    kg_s = infiltration.air_change_flow(1.0, 1.0) * moist_air.dry_air_density(20.0, 0.0, 101325.0)
    assert float(infiltration.air_change_conductance(kg_s)) == pytest.approx(0.336, abs=0.001)


def test_arrays_broadcast():
    """No source: columns and rows of inputs give a table."""
    table = wall_resistance.side_transmittance(np.array([[0.5], [1.0]]) + np.array([0.0, 1.0, 2.0]))
    assert table.shape == (2, 3)
