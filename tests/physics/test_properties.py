"""What the laws must obey for any input: balances close, limits hold, more insulation never loses more."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from thermal.physics import (
    condensation,
    fabric_split,
    flood_drain,
    freezing,
    ground,
    heat_pump,
    humidity_balance,
    infiltration,
    lumped_cooling,
    moist_air,
    wall_resistance,
    water_surface,
)
from thermal.physics.evaporation import convective_coefficient, mass_transfer_coefficient, mass_transfer_of_convection

SOIL = st.builds(ground.Soil, st.floats(0.5, 4.0), st.floats(1e6, 4e6))
quick = settings(max_examples=50, deadline=None)
flow = st.floats(1e-4, 1.0)
ratio = st.floats(1e-4, 0.03)
resistance = st.floats(0.0, 10.0)
film = st.floats(0.5, 20.0)


@quick
@given(flow, flow, flow, flow, ratio, ratio, ratio, ratio)
def test_the_vapour_balance_closes(held, change, evaporation, condensing, old, outside, water, side):
    demand = humidity_balance.vapour_demand(held, change, evaporation)
    share = humidity_balance.dry_share(held, demand)
    gain = humidity_balance.dry_gain(change, outside, evaporation * water, demand)
    dry = humidity_balance.dry_humidity_ratio(old, share, gain)
    entered = change * (outside - dry) + evaporation * (water - dry)
    assert float(entered) == pytest.approx(held * float(dry - old), abs=1e-12)
    wet = humidity_balance.wet_humidity_ratio(dry, humidity_balance.wet_share(demand, condensing), side)
    entered = change * (outside - wet) + evaporation * (water - wet) - condensing * (wet - side)
    assert float(entered) == pytest.approx(held * float(wet - old), abs=1e-12)
    heat = humidity_balance.condensation_heat(dry, wet, demand)
    assert float(heat) == pytest.approx(2.5e6 * condensing * float(wet - side), abs=1e-6)


@quick
@given(ratio, ratio, ratio)
def test_the_driest_balance_is_the_true_one(dry, wet, ceiling):
    new = humidity_balance.new_humidity_ratio(dry, wet, ceiling)
    assert new == min(dry, wet, ceiling)
    assert humidity_balance.condensation_heat(dry, new, 0.1) >= 0.0


@quick
@given(st.floats(-30.0, 30.0), st.floats(0.0, 1e8), st.floats(1e4, 1e7), st.floats(0.0, 1e8))
def test_freezing_keeps_the_enthalpy(water_c, ice_j, capacity, limit_j):
    ice_j = min(ice_j, limit_j)
    water, ice = freezing.water_and_ice(water_c, ice_j, capacity, limit_j)
    assert capacity * water - ice == pytest.approx(capacity * water_c - ice_j, rel=1e-9, abs=1.0)
    assert 0.0 <= ice <= limit_j
    assert ice in (0.0, limit_j) or abs(water) < 1e-6


@quick
@given(st.floats(-1.0, 40.0), st.floats(-1.0, 40.0), st.floats(1e5, 1e7), st.floats(1e5, 1e7), st.floats(0.0, 1.0))
def test_draining_and_flooding_keep_the_heat(bed_c, tank_c, bed, tank, share):
    moved = share * 0.9 * bed
    assert float(flood_drain.moved_capacity(False, moved)) == moved
    assert float(flood_drain.moved_capacity(True, moved)) == 0.0
    before = bed * bed_c + tank * tank_c
    bed_1, tank_1 = flood_drain.switched_temperatures(bed_c, tank_c, bed, tank, moved)
    assert float((bed - moved) * bed_1 + (tank + moved) * tank_1) == pytest.approx(before, rel=1e-9, abs=1e-3)
    bed_2, tank_2 = flood_drain.switched_temperatures(bed_1, tank_1, bed - moved, tank + moved, -moved)
    assert float(bed * bed_2 + tank * tank_2) == pytest.approx(before, rel=1e-9, abs=1e-3)
    assert min(bed_c, tank_c) - 1e-9 <= tank_1 <= max(bed_c, tank_c) + 1e-9
    if share == 0.0:
        assert (float(bed_1), float(tank_1)) == (bed_c, tank_c)


@quick
@given(film, film, resistance, st.floats(0.01, 5.0))
def test_more_lid_never_loses_more(convective, radiative, lid_r, more):
    for law in (water_surface.surface_convection_conductance, water_surface.surface_longwave_conductance):
        assert law(2.0, convective, radiative, lid_r + more) < law(2.0, convective, radiative, lid_r)
    total = sum(
        law(2.0, convective, radiative, lid_r)
        for law in (water_surface.surface_convection_conductance, water_surface.surface_longwave_conductance)
    )
    assert float(total) == pytest.approx(2.0 / (1.0 / (convective + radiative) + lid_r))


@quick
@given(film, resistance)
def test_a_wall_is_its_film_and_its_resistance_in_series(coefficient, wall_r):
    assert float(water_surface.wall_conductance(3.0, coefficient, wall_r)) == pytest.approx(
        3.0 / (1.0 / coefficient + wall_r)
    )
    excess = water_surface.wall_excess_share(coefficient, wall_r)
    assert 0.0 < excess <= 1.0
    assert float(3.0 * coefficient * excess) == pytest.approx(
        float(water_surface.wall_conductance(3.0, coefficient, wall_r))
    )


@quick
@given(st.floats(10.0, 300.0), st.floats(0.05, 7.0))
def test_the_fabric_split_keeps_the_steady_loss(area, u):
    air_fabric = fabric_split.air_fabric_conductance(area)
    beyond = fabric_split.fabric_beyond_conductance(u * area, air_fabric)
    assert float(1.0 / (1.0 / air_fabric + 1.0 / beyond)) == pytest.approx(u * area)
    parts = [fabric_split.boundary_conductance(beyond, share * u * area, u * area) for share in (0.3, 0.7)]
    assert float(sum(parts)) == pytest.approx(float(beyond))


@quick
@given(SOIL, st.floats(10.0, 200.0), st.floats(0.2, 1.0), resistance, st.floats(0.01, 2.0))
def test_the_ground_loses_less_through_more_insulation(soil, area, perimeter_per_area, floor_r, more):
    arguments = area, area * perimeter_per_area
    better, worse = (ground.floor_transmittance(*arguments, r, soil) for r in (floor_r + more, floor_r))
    assert 0.0 < better < worse
    edge = ground.EdgeInsulation(more + 0.2, 0.6)
    assert ground.edge_correction(floor_r, edge, soil) < 0.0
    bare = ground.outdoor_swing_conductance(arguments[1], floor_r, soil)
    assert 0.0 < ground.outdoor_swing_conductance(arguments[1], floor_r, soil, edge) < bare


@quick
@given(SOIL, st.floats(10.0, 200.0), st.floats(0.2, 1.0), resistance)
def test_slab_soil_and_ground_make_up_the_steady_loss(soil, area, perimeter_per_area, floor_r):
    steady = area * ground.floor_transmittance(area, area * perimeter_per_area, floor_r, soil, 0.15)
    inner = wall_resistance.slab_resistance(floor_r) + ground.soil_resistance(floor_r, soil)
    rest = ground.virtual_ground_resistance(area, steady, floor_r, soil)
    least = 0.5 * ground.SOIL_LAYER_M / soil.conductivity_w_per_mk
    assume(area / steady - inner > least)
    assert float(inner + rest) == pytest.approx(float(area / steady))


@quick
@given(st.floats(0.0, 6.0), st.floats(1.0, 20.0))
def test_the_yearly_wave_is_coldest_after_its_lag(lag_months, amplitude_k):
    cosine, sine = ground.yearly_wave(20.0, 0.4, lag_months, amplitude_k)
    assert float(np.hypot(cosine, sine)) == pytest.approx(20.0 * 0.4 * amplitude_k)
    phase = 2.0 * np.pi * lag_months / 12.0
    assert float(cosine * np.cos(phase) + sine * np.sin(phase)) == pytest.approx(-20.0 * 0.4 * amplitude_k)


@quick
@given(resistance, st.sampled_from(["outdoors", "house", "attic", "ground"]))
def test_a_side_loses_least_behind_most(r, faces):
    assert wall_resistance.side_transmittance(r + 0.1, faces) < wall_resistance.side_transmittance(r, faces)
    outdoors = wall_resistance.side_transmittance(r)
    assert float(wall_resistance.resistance_without_films(outdoors)) == pytest.approx(r, abs=1e-9)


@quick
@given(st.lists(st.floats(0.05, 4.0), min_size=1, max_size=5), st.floats(0.01, 1.0), st.floats(0.0, 0.4))
def test_studs_only_bridge(layers, stud_part, share):
    """Studs that insulate less than the layer they bridge never raise the resistance."""
    framed = wall_resistance.framed_resistance(layers, stud_part * max(layers), share)
    assert framed <= sum(layers) + 1e-9
    assert wall_resistance.framed_resistance(layers, max(layers), share) == pytest.approx(sum(layers))


@quick
@given(st.floats(0.05, 7.0))
def test_a_corner_is_colder_than_the_wall(u):
    drop = condensation.surface_drop_share(u)
    assert drop < condensation.corner_drop_share(drop) < 1.0
    assert condensation.corner_drop_share(0.0) == 0.0


@quick
@given(flow, flow)
def test_flows_in_series_pass_less_than_either(first, second):
    through = float(infiltration.flow_in_series(first, second))
    assert 0.0 < through < min(first, second)
    assert 1.0 / through == pytest.approx(1.0 / first + 1.0 / second)


@quick
@given(st.floats(0.0, 35.0), st.floats(0.0, 35.0), st.floats(0.1, 1.0))
def test_evaporation_has_a_floor_and_grows_with_buoyancy(water_c, air_c, humidity):
    wet = moist_air.humidity_ratio(moist_air.saturation_pressure(water_c))
    room = moist_air.humidity_ratio(humidity * moist_air.saturation_pressure(air_c))
    densities = (moist_air.dry_air_density(t, w, 101325.0) for t, w in ((water_c, wet), (air_c, room)))
    g = mass_transfer_coefficient(*densities, wet, room, 101325.0)
    pressures = moist_air.vapour_pressure(wet) - moist_air.vapour_pressure(room)
    assert abs(3600.0 * g * (wet - room)) >= 5e-5 * abs(pressures) * (1.0 - 1e-9)
    assert float(mass_transfer_of_convection(convective_coefficient(g))) == pytest.approx(float(g))


@quick
@given(st.floats(5.0, 30.0), st.floats(-20.0, 4.0), st.floats(1.0, 200.0), st.floats(5.0, 500.0))
def test_cooling_gives_its_time_constant_back(before_c, air_c, hours, tau_h):
    assume(hours < 20 * tau_h)
    after_c = lumped_cooling.cooled_temperature(before_c, air_c, hours, tau_h)
    assert float(lumped_cooling.time_constant(hours, before_c, after_c, air_c)) == pytest.approx(tau_h, rel=1e-4)


@quick
@given(st.floats(-40.0, 30.0))
def test_a_heat_pump_is_never_worse_than_its_element(outdoor_c):
    cop = heat_pump.heat_pump_cop(outdoor_c, (-20.0, 7.0), (1.6, 4.2), -20.0)
    assert 1.0 <= cop <= 4.2
    assert outdoor_c >= -20.0 or cop == 1.0
