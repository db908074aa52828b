r"""From a plan to its thermal network: which nodes there are, and every conductance between them.

    outdoors -- fabric -- air -- water of tank and beds        house, attic, ground behind the fabric
                            \-- slab -- soil -- ground         tank bottoms on the slab

With the room's air given, only the water remains. The heated node comes last: the tank, or the air when the
room is heated.
"""

from __future__ import annotations

import numpy as np

from thermal import air
from thermal.air import CP_AIR, CP_WATER, FUSION_J_PER_KG, RHO_WATER, Array
from thermal.envelope import SLAB_FINISH_R, Envelope, envelope_of, ground_season
from thermal.network import Network, RoomAir, Vessels
from thermal.paths.films import vertical_film_terms
from thermal.paths.slab import R_FLOOR_INSIDE
from thermal.plan import Plan, Vessel

R_UNDER_FRAME = 0.17  # air film under a bottom, heat flow down, ISO 6946:2017 table 7


def nodes_of(plan: Plan) -> tuple[str, ...]:
    """The nodes of a plan's network, the heated one last."""
    water = ("bed", "tank") if plan.beds else ("tank",)
    if plan.room.temperature_c is not None:
        return water
    if plan.heater.where == "room":
        return ("soil", "slab", "fabric", *water, "air")
    return ("soil", "slab", "fabric", "air", *water)


def plan_envelope(plan: Plan, pressure_pa: float) -> Envelope | None:
    """The room's conductances, None where its air is given."""
    if plan.room.temperature_c is not None:
        return None
    return envelope_of(
        plan.room, sum(one.bottom_m2 for one in plan.tanks + plan.beds if one.base == "slab"), pressure_pa
    )


def base_conductance(vessel: Vessel, given_air: bool) -> float:
    """A vessel's bottom to what it meets: slab, air under a frame, or a given room's floor. [W/K]"""
    r = vessel.base_r_m2k_per_w
    if vessel.base == "frame":
        r += R_UNDER_FRAME
    else:
        r += SLAB_FINISH_R + (R_FLOOR_INSIDE if given_air else 0.0)
    return vessel.bottom_m2 / r


def assembled(plan: Plan, pressure_pa: float, ground_mean_c: float, ground_amplitude_k: float) -> Network:
    """The network of one plan, as a batch of one design.

    Parameters
    ----------
    ground_mean_c, ground_amplitude_k : float
        Yearly mean and amplitude of the outdoor air, which the ground beneath follows.
    """
    nodes = nodes_of(plan)
    at = {name: place for place, name in enumerate(nodes)}
    room = plan.room
    envelope = plan_envelope(plan, pressure_pa)
    shape = (len(nodes), 1)
    fixed, outdoor, capacity = np.zeros(shape), np.zeros(shape), np.zeros(shape)
    source, season = np.zeros((24, *shape)), np.zeros((2, *shape))
    links: dict[tuple[int, int], float] = {}

    def link(a: str, b: str, conductance: float) -> None:
        pair = (min(at[a], at[b]), max(at[a], at[b]))
        links[pair] = links.get(pair, 0.0) + conductance

    def hold(node: str, conductance: float, temperature_c: float) -> None:
        fixed[at[node]] += conductance
        source[:, at[node]] += conductance * temperature_c

    for lump, vessels in _lumps(plan):
        capacity[at[lump]] += sum(one.capacity_j_per_k for one in vessels)
        for one in vessels:
            conductance = base_conductance(one, envelope is None)
            if room.temperature_c is not None:
                hold(lump, conductance, room.temperature_c)
            else:
                link(lump, "slab" if one.base == "slab" else "air", conductance)
    hold("tank", RHO_WATER * CP_WATER * plan.water_change_m3_s, plan.tap_c)
    _add_loads(plan, source, at)
    if envelope is not None:
        link("fabric", "air", envelope.air_fabric)
        link("air", "slab", envelope.air_slab)
        link("slab", "soil", envelope.slab_soil)
        outdoor[at["fabric"]] += envelope.beyond("outdoors", "attic")
        outdoor[at["air"]] += envelope.change_kg_s * CP_AIR
        hold("fabric", envelope.beyond("house"), room.house_c)
        hold("fabric", envelope.beyond("ground"), ground_mean_c)
        hold("soil", envelope.soil_ground, ground_mean_c)
        season[:, at["soil"], 0] = ground_season(envelope, ground_amplitude_k)
        capacity[at["fabric"]] = envelope.fabric_capacity
        capacity[at["air"]] = envelope.air_mass_kg * CP_AIR
        capacity[at["slab"]] = envelope.slab_capacity
        capacity[at["soil"]] = envelope.soil_capacity
    return Network(
        nodes=nodes,
        capacity_j_per_k=capacity,
        links=tuple(links),
        link_w_per_k=np.array([[value] for value in links.values()]).reshape(-1, 1),
        outdoor_w_per_k=outdoor,
        fixed_w_per_k=fixed,
        source_w=source,
        season_w=season,
        vessels=_vessels(plan, at, pressure_pa),
        room_air=_room_air(plan, at, envelope, pressure_pa),
    )


def _lumps(plan: Plan) -> list[tuple[str, tuple[Vessel, ...]]]:
    return ([("bed", plan.beds)] if plan.beds else []) + [("tank", plan.tanks)]


def _add_loads(plan: Plan, source: Array, at: dict[str, int]) -> None:
    """Where every watt of pump, lights and gains lands; what goes to given air is not followed."""
    source[:, at["tank"], 0] += plan.pump.power_w * np.array(plan.pump.hours)
    for load in plan.loads:
        watts = load.power_w * np.array(load.hours)
        for node, share in (("tank", load.to_water), ("bed", load.to_bed), ("air", load.to_air)):
            if share and node in at:
                source[:, at[node], 0] += share * watts


def _vessels(plan: Plan, at: dict[str, int], pressure_pa: float) -> Vessels:
    rows = plan.beds + plan.tanks
    film_a, film_b = vertical_film_terms(_column([one.depth_m for one in rows]), pressure_pa=pressure_pa)
    has_beds = bool(plan.beds)
    flow = plan.pump.flow_m3_s * RHO_WATER * CP_WATER * np.array(plan.pump.hours)[:, None]
    water_kg = [RHO_WATER * sum(one.water_m3 for one in vessels) for _, vessels in _lumps(plan)]
    return Vessels(
        lumps=(at["bed"], at["tank"]) if has_beds else (at["tank"],),
        first_rows=(0, len(plan.beds)) if has_beds else (0,),
        surface_m2=_column([one.surface_m2 for one in rows]),
        evaporation=_column([one.evaporation for one in rows]),
        lid_r=_column([one.lid_r_m2k_per_w for one in rows]),
        wall_m2=_column([one.wall_m2 for one in rows]),
        wall_r=_column([one.wall_r_m2k_per_w for one in rows]),
        film_a=film_a,
        film_b=film_b,
        flow_w_per_k=flow if has_beds else np.zeros((24, 1)),
        drained_j_per_k=np.array([sum(one.capacity_j_per_k - one.drained_j_per_k for one in plan.beds)]),
        ice_limit_j=_column(water_kg) * FUSION_J_PER_KG,
        tap_c=np.array([plan.tap_c]),
    )


def _room_air(plan: Plan, at: dict[str, int], envelope: Envelope | None, pressure_pa: float) -> RoomAir:
    room = plan.room
    if envelope is None:
        assert room.temperature_c is not None
        vapour = room.humidity * air.water_saturation_pressure(room.temperature_c)
        given = (np.array([room.temperature_c]), np.atleast_1d(air.humidity_ratio(vapour, pressure_pa)))
        zeros = (np.zeros(1),) * 5
        return RoomAir(None, None, *given, *zeros)
    numbers = (
        envelope.air_mass_kg,
        envelope.change_kg_s,
        envelope.leak_cm2,
        envelope.condensing_kg_s,
        envelope.coldness,
    )
    return RoomAir(at["air"], at["fabric"], np.zeros(1), np.zeros(1), *(np.array([one]) for one in numbers))


def _column(values: list[float]) -> Array:
    return np.array(values, dtype=float)[:, None]
