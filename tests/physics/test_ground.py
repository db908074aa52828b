"""The ground against ISO 13370's published tables; then what any such law must do."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermal.physics import ground
from thermal.physics.ground import EdgeInsulation, Soil

CLAY, SAND = Soil(1.5, 3e6), Soil(2.0, 2e6)
floors = st.floats(0.0, 5.0)
soils = st.builds(Soil, st.floats(0.8, 3.5), st.floats(1.5e6, 3.5e6))


@pytest.mark.parametrize(("perimeter_per_area", "printed"), [(0.10, 0.22), (0.30, 0.495), (0.50, 0.70), (1.00, 1.05)])
def test_bare_slabs_are_those_of_approved_document_l(perimeter_per_area, printed):
    """UK Approved Document L 2002 app. C, uninsulated, clay, walls of 0.3 m (from memory); two decimals."""
    u = ground.floor_transmittance(100.0, 100.0 * perimeter_per_area, 0.0, CLAY)
    assert float(u) == pytest.approx(printed, abs=0.0055)


@pytest.mark.parametrize(("soil", "printed"), [(CLAY, 2.2), (SAND, 3.2)])
def test_penetration_depth_is_that_of_the_standard(soil, printed):
    """ISO 13370 table of periodic penetration depths: 2.2 m in clay or silt, 3.2 m in sand or gravel (from memory)."""
    assert ground.penetration_depth(soil) == pytest.approx(printed, abs=0.05)


@given(st.floats(10.0, 400.0), floors, soils)
def test_a_better_floor_and_a_shorter_edge_lose_less(area, floor_r, soil):
    perimeter = 4.0 * math.sqrt(area)
    loss = ground.floor_transmittance(area, perimeter, floor_r, soil)
    # The standard's two branches, d_t below and above B, meet within 2 %: steps are longer than that.
    assert ground.floor_transmittance(area, perimeter, floor_r + 0.5, soil) < loss
    assert ground.floor_transmittance(area, 0.6 * perimeter, floor_r, soil) < loss
    assert 0 < loss < 1.0 / (0.17 + floor_r + 0.04)


@given(floors, soils, st.floats(0.2, 1.5), st.floats(0.5, 4.0))
def test_edge_insulation_takes_off_and_more_takes_off_more(floor_r, soil, depth, edge_r):
    psi = ground.edge_correction(floor_r, EdgeInsulation(edge_r, depth), soil)
    deeper = ground.edge_correction(floor_r, EdgeInsulation(edge_r, 1.5 * depth), soil)
    better = ground.edge_correction(floor_r, EdgeInsulation(edge_r + 1.0, depth), soil)
    assert deeper < psi < 0
    assert better < psi
    flat = ground.edge_correction(floor_r, EdgeInsulation(edge_r, 2.0 * depth, vertical=False), soil)
    assert float(flat) == pytest.approx(float(psi), rel=1e-12)


@given(floors, soils)
def test_no_strip_is_no_change_and_an_endless_one_shuts_the_edge(floor_r, soil):
    bare = ground.outdoor_swing_conductance(20.0, floor_r, soil)
    assert float(ground.edge_correction(floor_r, EdgeInsulation(2.0, 0.0), soil)) == 0.0
    none = ground.outdoor_swing_conductance(20.0, floor_r, soil, EdgeInsulation(2.0, 0.0))
    assert float(none) == pytest.approx(float(bare), rel=1e-12)
    endless = ground.outdoor_swing_conductance(20.0, floor_r, soil, EdgeInsulation(2.0, 100.0))
    assert float(endless) == pytest.approx(float(ground.outdoor_swing_conductance(20.0, floor_r + 2.0, soil)), rel=1e-9)


@given(floors, soils)
def test_a_better_insulated_floor_trails_longer(floor_r, soil):
    """beta grows with d_t: ISO 13370:2017 annex H (from memory)."""
    assert ground.swing_lag_months(floor_r + 0.5, soil) > ground.swing_lag_months(floor_r, soil)


@given(st.floats(1.0, 60.0), st.floats(0.1, 1.0), st.floats(0.0, 6.0), st.floats(0.5, 15.0))
def test_the_yearly_wave_has_its_amplitude_and_its_lag(conductance, share, lag, amplitude):
    """-A cos(2 pi (m - beta)/12) by its two parts, at every month."""
    cosine, sine = ground.yearly_wave(conductance, share, lag, amplitude)
    months = np.arange(24) / 2.0
    angle = 2.0 * np.pi * months / 12.0
    direct = -conductance * share * amplitude * np.cos(2.0 * np.pi * (months - lag) / 12.0)
    np.testing.assert_allclose(
        cosine * np.cos(angle) + sine * np.sin(angle), direct, atol=1e-9 * conductance * amplitude
    )
