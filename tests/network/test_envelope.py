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
