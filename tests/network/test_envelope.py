"""The room's conductances and the network made from them, held to the standards' own steady figures."""

from __future__ import annotations

import numpy as np
import pytest

from thermal.network.build import build_network, nodes_of, plan_envelope
from thermal.physics.constants import SEA_LEVEL_PA
from thermal.plan.reader import variant


def test_the_sides_keep_their_steady_heat_loss(case_with):
    """ISO 13790:2008 12.2.2: the split at the fabric node leaves each side's UA as U x A says. (From memory.)"""
    plan = case_with().plan
    envelope = plan_envelope(plan, SEA_LEVEL_PA)
    in_series = 1.0 / (1.0 / envelope.air_fabric + 1.0 / envelope.fabric_beyond)
    assert in_series == pytest.approx(sum(side.ua_w_per_k for side in envelope.sides), rel=1e-12)
    door, room_door = envelope.sides[1], plan.room.sides[1]
    # ISO 6946:2017 table 7: films of 0.13 m2K/W inside and 0.04 m2K/W outside.
    assert door.u_w_per_m2k == pytest.approx(1.0 / (0.13 + room_door.r_m2k_per_w + 0.04), rel=1e-12)


def test_the_floor_loses_what_iso_13370_says(case_with):
    """Slab of 6 m x 5 m on clay or silt, ISO 13370:2017 eq. 4: d_t < B', U = 2k/(pi B' + d_t) ln(pi B'/d_t + 1)."""
    plan = case_with().plan
    floor, k = plan.room.floor, plan.room.floor.soil_w_per_mk
    wide = 30.0 / (0.5 * 22.0)
    d_t = 0.15 + k * (0.17 + floor.r_m2k_per_w + 0.04)
    by_hand = 30.0 * 2.0 * k / (np.pi * wide + d_t) * np.log(np.pi * wide / d_t + 1.0)
    envelope = plan_envelope(plan, SEA_LEVEL_PA)
    assert envelope.floor_steady == pytest.approx(by_hand, rel=1e-9)
    # Slab, soil layer and the ground beyond are in series with the floor's film: together they are that loss.
    whole = 0.17 + min(floor.r_m2k_per_w, 0.05) + 30.0 / envelope.slab_soil + 30.0 / envelope.soil_ground
    assert 30.0 / whole == pytest.approx(by_hand, rel=1e-9)


def test_every_watt_of_the_loads_lands_in_a_node(case_with):
    """Pump, lights and gains of the plan add up to the network's sources less those of fixed surroundings."""
    plan = case_with({"gain": [{"name": "radio", "power": "40 W", "where": "room"}], "bed.transpiration": "none"}).plan
    dark = variant(plan, {"pump.power": "0 W", "room.lights.power": "0 W", "gain": []})
    difference = (
        build_network(plan, SEA_LEVEL_PA, 10.0, 12.0).source_w - build_network(dark, SEA_LEVEL_PA, 10.0, 12.0).source_w
    )
    by_hour = [
        plan.pump.power_w * plan.pump.hours[hour] + sum(load.power_w * load.hours[hour] for load in plan.loads)
        for hour in range(24)
    ]
    assert difference.sum(axis=(1, 2)) == pytest.approx(by_hour)


@pytest.mark.parametrize("where", [{}, {"hut": {"length": "3 m", "width": "3 m", "height": "2 m"}}])
def test_a_pump_beside_the_tank_warms_the_air_too(case_with, where):
    """60 % of its heat in the water, the rest in the air around the tank, none lost."""
    inside, beside = (case_with({"pump.in_water_share": share, **where}).network for share in (1.0, "60 %"))
    moved = beside.source_w - inside.source_w
    power = case_with().plan.pump.power_w
    air = "hut" if where else "air"
    assert moved[:, beside.nodes.index(air), 0] == pytest.approx(0.4 * power)
    assert moved[:, beside.nodes.index("tank"), 0] == pytest.approx(-0.4 * power)
    assert moved.sum(axis=1) == pytest.approx(0.0, abs=1e-9)


def test_thermal_bridges_add_to_the_outer_sides_alone(case_with):
    """EN 12831: H = sum A (U + dU) of the sides to outdoors; a wall to the house gets none. The cold spot stays U's."""
    bare, bridged = (plan_envelope(case_with({"room.bridges": dU}).plan, SEA_LEVEL_PA) for dU in ("none", 0.1))
    for before, after, side in zip(bare.sides, bridged.sides, case_with().plan.room.sides, strict=True):
        added = 0.1 * side.area_m2 if side.faces in ("outdoors", "attic") else 0.0
        assert after.ua_w_per_k - before.ua_w_per_k == pytest.approx(added, abs=1e-12)
    in_series = 1.0 / (1.0 / bridged.air_fabric + 1.0 / bridged.fabric_beyond)
    assert in_series == pytest.approx(sum(side.ua_w_per_k for side in bridged.sides), rel=1e-12)
    assert bridged.coldness == bare.coldness


def test_the_fit_factor_of_the_room_holds_for_its_bridges(case_with):
    once, twice = (
        plan_envelope(case_with({"room.bridges": 0.1, "fit": {"room": factor}}).plan, SEA_LEVEL_PA)
        for factor in (1.0, 2.0)
    )
    for a, b in zip(once.sides, twice.sides, strict=True):
        assert b.bridges_w_per_k == pytest.approx(2.0 * a.bridges_w_per_k)


def test_plants_cool_the_air_by_what_their_vapour_holds(case_with):
    """1.5 L/m2 day on two beds: 2.5 MJ/kg (steam tables, near 0 degC) over the day; the mass is what the plan says."""
    dry, leafy = (case_with({"bed.transpiration": amount}).network for amount in ("none", 1.5))
    kg_day = leafy.room_air.vapour_kg_s.sum() * 3600.0
    assert kg_day == pytest.approx(1.5 * sum(bed.surface_m2 for bed in case_with().plan.beds))
    taken_j = (dry.source_w - leafy.source_w).sum(axis=(0, 2)) * 3600.0
    assert taken_j[leafy.nodes.index("air")] == pytest.approx(kg_day * 2.5e6, rel=1e-9)
    assert np.count_nonzero(taken_j) == 1
    lights = np.array(case_with().plan.loads[0].hours)
    assert ((leafy.room_air.vapour_kg_s[:, 0] > 0) == (lights > 0)).all()


@pytest.mark.parametrize(
    ("settings", "last"),
    [({}, "tank"), ({"heater.where": "room"}, "air"), ({"room.temperature": "12 degC"}, "tank")],
)
def test_the_heated_node_comes_last(case_with, settings, last):
    assert nodes_of(case_with(settings).plan)[-1] == last


def test_conductances_and_capacities_are_not_negative(case_with):
    network = case_with().network
    for values in (network.capacity_j_per_k, network.link_w_per_k, network.outdoor_w_per_k, network.fixed_w_per_k):
        assert (values >= 0.0).all()


def test_air_holds_its_heat_and_a_hut_exchanges_its_own_air(case_with):
    """By hand: dry air of 10 degC at sea level has 1.247 kg/m3 (101325 / (287.05 * 283.15)) and 1006 J/kgK."""
    hut = {"build": "foam hut", "length": "3 m", "width": "2 m", "height": "2 m", "air_changes": 0.9}
    plan = case_with({"hut": hut, "tank.stands_on": "frame"}).plan
    network = build_network(plan, SEA_LEVEL_PA, 10.0, 12.0)
    air, inside = network.nodes.index("air"), network.nodes.index("hut")
    room, density = plan.room, 101325.0 / (287.05 * 283.15)
    held = density * room.length_m * room.width_m * room.height_m
    assert network.capacity_j_per_k[air, 0] == pytest.approx(1006.0 * held, rel=1e-3)
    assert network.capacity_j_per_k[inside, 0] == pytest.approx(1006.0 * density * 12.0, rel=1e-3)
    changed = density * 12.0 * 0.9 / 3600.0
    assert network.room_air.hut_change_kg_s[0] == pytest.approx(changed, rel=1e-3)
    assert network.room_air.mass_kg[0] == pytest.approx(density * 12.0, rel=1e-3)
    # ISO 6946:2017 table 7: a film of 0.13 m2K/W on both faces of the skin, 2 * (3 + 2) * 2 + 3 * 2 m2 of it.
    joined = 26.0 / (0.13 + plan.hut.r_m2k_per_w + 0.13) + 1006.0 * changed
    assert network.link_w_per_k[network.links.index((air, inside)), 0] == pytest.approx(joined, rel=1e-3)


def test_a_strip_along_the_edge_leaves_the_coupling_to_the_ground(case_with):
    """ISO 13370:2017 annex H: the strip lowers H and H_pe, and leaves H_pi, the response to the room itself."""
    bare, strip = (plan_envelope(case_with({"room.floor.edge": r}).plan, SEA_LEVEL_PA) for r in ("RSI-0", "RSI-2"))
    assert strip.soil_ground == bare.soil_ground
    assert strip.floor_steady < 0.95 * bare.floor_steady
    assert strip.ground_swing_share < 0.95 * bare.ground_swing_share
