"""Air that a hut exchanges with outdoors or with the house, in place of the room around it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from thermal.data.other_heat import house_air_vapour
from thermal.network.model import Network
from thermal.network.vapour_gains import transpired_kg_s
from thermal.physics.infiltration import air_change_conductance
from thermal.plan.model import Plan


def with_hut_air(network: Network, plan: Plan) -> Network:
    """A network of one design whose hut exchanges its air with what the plan says.

    Its skin still parts it from the room. No vapour of the room comes in with air from elsewhere; that of the house
    holds more than outdoor air, as that of `[other_heat.house_air]`.

    Parameters
    ----------
    network : Network
        The network with air from the room, as a batch of one design.
    plan : Plan
        The plan.
    """
    if plan.hut is None or plan.hut.air_from == "room":
        return network
    room = network.room_air
    assert room is not None
    conductance = float(air_change_conductance(room.hut_change_kg_s[0]))
    air, hut = network.nodes.index("air"), network.nodes.index("hut")
    link_w_per_k = network.link_w_per_k.copy()
    link_w_per_k[network.links.index((min(air, hut), max(air, hut)))] -= conductance
    outdoor, fixed, source_w = network.outdoor_w_per_k.copy(), network.fixed_w_per_k.copy(), network.source_w.copy()
    vapour_kg_s = 0.0
    if plan.hut.air_from == "house":
        fixed[hut] += conductance
        source_w[:, hut] += conductance * np.array(plan.room.house_by_hour_c)[:, None]
        vapour_kg_s = house_air_vapour()[0] * plan.hut.volume_m3 * plan.hut.air_changes_per_h / 3600.0
    else:
        outdoor[hut] += conductance
    moist = replace(
        room,
        hut_change_kg_s=np.zeros(1),
        direct_change_kg_s=room.hut_change_kg_s,
        vapour_kg_s=transpired_kg_s(plan) + vapour_kg_s,
    )
    return replace(
        network,
        link_w_per_k=link_w_per_k,
        outdoor_w_per_k=outdoor,
        fixed_w_per_k=fixed,
        source_w=source_w,
        room_air=moist,
    )
