r"""The thermal network of a plan: its nodes, and every conductance between them.

    outdoors -- fabric -- air -- water of tank and beds        house, attic, ground behind the fabric
                            \-- slab -- soil -- ground         tank bottoms on the slab

Where the plan gives the room's air temperature, only the water nodes remain. A hut's air is a node between the water
and the room's air, above its part of the slab. The heated node comes last: the tank, or the air around it when the
heater heats the air.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from thermal.climate.forcing import NEITHER, SunAndSky
from thermal.core.arrays import Array
from thermal.core.schedule import ALWAYS
from thermal.network.barrels import BARREL, air_conductance, barrel_air, barrel_m3, floor_conductance
from thermal.network.envelope import REFERENCE_AIR_C, Envelope, ground_season, room_envelope
from thermal.network.model import Network, RoomAir, Vessels
from thermal.network.pipes import air_around, circulation, mean_conductance
from thermal.network.sun_gains import Gains, outdoor_gains
from thermal.network.vapour_gains import gained_kg_s, transpired_kg_s, vapour_heat_w
from thermal.network.vessel_sides import base_conductance, buried_wall_conductance, faced_conductance
from thermal.physics.bed_heat_capacity import water_capacity
from thermal.physics.condensation import condensing_conductance, surface_drop_share
from thermal.physics.constants import CP_AIR, RHO_WATER
from thermal.physics.freezing import ice_limit
from thermal.physics.infiltration import air_change_conductance, hut_vapour_share
from thermal.physics.moist_air import dry_air_density, humidity_ratio, water_saturation_pressure
from thermal.physics.natural_convection import vertical_film_terms
from thermal.physics.transpiration import transpiration_heat
from thermal.physics.wall_resistance import bare_floor_area, hut_transmittance, slab_resistance
from thermal.plan.model import Plan
from thermal.plan.structure import Hut, Vessel


def nodes_of(plan: Plan) -> tuple[str, ...]:
    """Names of the nodes of a plan's network, in the order of elimination; the heated node last."""
    water = ("bed", "tank") if plan.beds else ("tank",)
    water = (BARREL, *water) if plan.barrels else water
    if plan.room.temperature_c is not None:
        return water
    if plan.hut is not None:  # a heater with where = "room" then heats the hut's air
        inner = (*water, "hut") if plan.heater.where == "room" else ("hut", *water)
        return ("soil", "slab", "fabric", "air", *inner)
    if plan.heater.where == "room":
        return ("soil", "slab", "fabric", *water, "air")
    return ("soil", "slab", "fabric", "air", *water)


def plan_envelope(plan: Plan, pressure_pa: float) -> Envelope | None:
    """Conductances and capacities of a plan's room.

    Parameters
    ----------
    plan : Plan
        The plan.
    pressure_pa : float
        Air pressure [Pa].

    Returns
    -------
    Envelope or None
        None where the plan gives the room's air temperature.
    """
    if plan.room.temperature_c is not None:
        return None
    covered = covered_m2(plan) if plan.hut is None else plan.hut.floor_m2
    return room_envelope(plan.room, covered, pressure_pa)


def plan_gains(plan: Plan, envelope: Envelope | None, outdoors: SunAndSky) -> Gains:
    """Heat of sun and sky into the nodes of a plan's network. [W for each unit of the column]

    Parameters
    ----------
    plan : Plan
        The plan.
    envelope : Envelope or None
        Its room's; None where the plan gives the room's air temperature, which sun and sky do not change.
    outdoors : SunAndSky
        What of sun and sky the weather's columns bring.
    """
    if envelope is None:
        return {}
    under = sum(vessel.bottom_m2 for vessel in plan.tanks + plan.beds)
    return outdoor_gains(plan.room, envelope, under, outdoors)


def covered_m2(plan: Plan) -> float:
    """Floor area of a plan's room under vessels that stand on the slab or are sunk into it. [m2]"""
    beside = [barrel.bottom_m2 for barrel in plan.barrels if barrel_air(plan) == air_around(plan)]
    return sum(vessel.bottom_m2 for vessel in plan.tanks + plan.beds if vessel.base != "frame") + sum(beside)


class NetworkBuilder:
    """Network of one design under construction, addressed by the names of its nodes.

    Parameters
    ----------
    nodes : tuple of str
        Names of the nodes in their order.

    Attributes
    ----------
    index : dict of str to int
        Number of each node.
    capacity : Array, shape (node, 1)
        Heat capacities [J/K].
    outdoor : Array, shape (node, 1)
        Conductances to outdoor air [W/K].
    fixed : Array, shape (node, 1)
        Conductances to surroundings of constant temperature [W/K].
    source : Array, shape (24, node, 1)
        Heat gains, plus `fixed` times the temperatures of those surroundings, by local hour [W].
    season : Array, shape (2, node, 1)
        Cosine and sine part of the heat from the ground's yearly wave [W].
    links : dict of (int, int) to float
        Conductances between nodes, the lower number first [W/K].
    """

    def __init__(self, nodes: tuple[str, ...]) -> None:
        self.index = {name: number for number, name in enumerate(nodes)}
        shape = (len(nodes), 1)
        self.capacity, self.outdoor, self.fixed = np.zeros(shape), np.zeros(shape), np.zeros(shape)
        self.source, self.season = np.zeros((24, *shape)), np.zeros((2, *shape))
        self.links: dict[tuple[int, int], float] = {}

    def link(self, a: str, b: str, w_per_k: float) -> None:
        """Add a conductance between two nodes.

        Parameters
        ----------
        a, b : str
            Names of the nodes.
        w_per_k : float
            Conductance, added to what already joins them [W/K].
        """
        pair = (min(self.index[a], self.index[b]), max(self.index[a], self.index[b]))
        self.links[pair] = self.links.get(pair, 0.0) + w_per_k

    def add_fixed_boundary(self, node: str, w_per_k: float, temperature_c: float | tuple[float, ...]) -> None:
        """Add a conductance between a node and surroundings whose temperature does not depend on the weather.

        Parameters
        ----------
        node : str
            Name of the node.
        w_per_k : float
            Conductance [W/K].
        temperature_c : float or tuple of float, (24,)
            Temperature of the surroundings, constant or by hour of the day [degC].
        """
        self.fixed[self.index[node]] += w_per_k
        self.source[:, self.index[node]] += w_per_k * np.array(temperature_c, dtype=float).reshape(-1, 1)


def build_network(
    plan: Plan,
    pressure_pa: float,
    ground_mean_c: float,
    ground_amplitude_k: float,
    outdoors: SunAndSky = NEITHER,
) -> Network:
    """The network of one plan, as a batch of one design.

    Parameters
    ----------
    plan : Plan
        The plan.
    pressure_pa : float
        Air pressure [Pa].
    ground_mean_c : float
        Yearly mean of the outdoor air temperature, which is also the ground's [degC].
    ground_amplitude_k : float
        Amplitude of the yearly wave of the outdoor air temperature [K].
    outdoors : SunAndSky
        What of sun and sky the weather's columns bring.

    Returns
    -------
    Network
        With arrays whose design axis has length 1.
    """
    builder = NetworkBuilder(nodes_of(plan))
    envelope = plan_envelope(plan, pressure_pa)
    _add_water(builder, plan)
    _add_pipes(builder, plan)
    if envelope is not None:
        _add_room(builder, envelope, plan.room.house_by_hour_c, ground_mean_c, ground_amplitude_k)
        if plan.hut is not None:
            _add_hut(builder, plan, plan.hut, pressure_pa)
        if plan.barrels:
            builder.link(BARREL, barrel_air(plan), air_conductance(plan))
            builder.link(BARREL, "slab", floor_conductance(plan))
            builder.capacity[builder.index[BARREL]] = water_capacity(barrel_m3(plan))
    _add_loads(plan, builder.source, builder.index)
    gains = plan_gains(plan, envelope, outdoors)
    return Network(
        nodes=nodes_of(plan),
        capacity_j_per_k=builder.capacity,
        links=tuple(builder.links),
        link_w_per_k=np.array([[value] for value in builder.links.values()]).reshape(-1, 1),
        outdoor_w_per_k=builder.outdoor,
        fixed_w_per_k=builder.fixed,
        source_w=builder.source,
        season_w=builder.season,
        gains=tuple((builder.index[node], column) for node, column in gains),
        gain_w=_column([*gains.values()]) if gains else None,
        heater_share=None if plan.heater.hours == ALWAYS else _column([*plan.heater.hours]),
        vessels=_vessels(plan, builder.index, pressure_pa),
        room_air=_room_air(plan, builder.index, envelope, pressure_pa),
    )


def _add_water(builder: NetworkBuilder, plan: Plan) -> None:
    """Heat capacities, bottoms and facing sides of the vessels, and planned water changes."""
    given_c = plan.room.temperature_c
    for water_node, vessels in _water_vessels(plan):
        builder.capacity[builder.index[water_node]] += sum(vessel.capacity_j_per_k for vessel in vessels)
        for vessel in vessels:
            conductance = base_conductance(vessel, plan.room.floor, given_c is not None)
            conductance += buried_wall_conductance(vessel, plan.room.floor)
            if given_c is not None:
                builder.add_fixed_boundary(water_node, conductance, plan.room.given_by_hour_c)
            else:
                builder.link(water_node, air_around(plan) if vessel.base == "frame" else "slab", conductance)
        builder.add_fixed_boundary(water_node, faced_conductance(vessels, "house"), plan.room.house_by_hour_c)
        builder.outdoor[builder.index[water_node]] += faced_conductance(vessels, "outdoors")
    builder.add_fixed_boundary("tank", float(water_capacity(plan.water_change_m3_s)), plan.tap_c)


def _add_pipes(builder: NetworkBuilder, plan: Plan) -> None:
    """Heat loss of the pipes, the day's mean at all hours; their water is part of the tank at all hours."""
    given_c = plan.room.temperature_c
    for pipe in plan.pipes:
        builder.capacity[builder.index["tank"]] += float(water_capacity(pipe.water_m3))
        conductance = mean_conductance(plan, pipe)
        if given_c is not None:
            builder.add_fixed_boundary("tank", conductance, plan.room.given_by_hour_c)
        else:
            builder.link("tank", air_around(plan, pipe), conductance)


def _add_room(
    builder: NetworkBuilder, envelope: Envelope, house_c: tuple[float, ...], mean_c: float, amplitude_k: float
) -> None:
    """Fabric, air, slab and soil, and the surroundings they exchange heat with."""
    index = builder.index
    builder.link("fabric", "air", envelope.air_fabric)
    builder.link("air", "slab", envelope.air_slab)
    builder.link("slab", "soil", envelope.slab_soil)
    builder.outdoor[index["fabric"]] += envelope.beyond("outdoors", "attic")
    builder.outdoor[index["air"]] += air_change_conductance(envelope.change_kg_s)
    builder.add_fixed_boundary("fabric", envelope.beyond("house"), house_c)
    builder.add_fixed_boundary("fabric", envelope.beyond("ground"), mean_c)
    builder.add_fixed_boundary("soil", envelope.soil_ground, mean_c)
    builder.season[:, index["soil"], 0] = ground_season(envelope, amplitude_k)
    builder.capacity[index["fabric"]] = envelope.fabric_capacity
    builder.capacity[index["air"]] = envelope.air_mass_kg * CP_AIR
    builder.capacity[index["slab"]] = envelope.slab_capacity
    builder.capacity[index["soil"]] = envelope.soil_capacity


def _add_hut(builder: NetworkBuilder, plan: Plan, hut: Hut, pressure_pa: float) -> None:
    """The hut's air: through its skin and by air exchange to the room, and to the floor it stands on."""
    skin = hut.skin_m2 * float(hut_transmittance(hut.r_m2k_per_w))
    mass = hut_air_kg(hut, pressure_pa)
    bare = bare_floor_area(hut.floor_m2, covered_m2(plan))
    change = float(air_change_conductance(mass * hut.air_changes_per_h / 3600.0))
    builder.link("air", "hut", skin + change)
    builder.link("slab", "hut", float(bare / slab_resistance(plan.room.floor.r_m2k_per_w)))
    builder.capacity[builder.index["hut"]] = mass * CP_AIR


def hut_air_kg(hut: Hut, pressure_pa: float) -> float:
    """Dry air in a hut. [kg]

    Parameters
    ----------
    hut : Hut
        The hut.
    pressure_pa : float
        Air pressure [Pa].
    """
    return hut.volume_m3 * float(dry_air_density(REFERENCE_AIR_C, 0.0, pressure_pa))


def _water_vessels(plan: Plan) -> list[tuple[str, tuple[Vessel, ...]]]:
    """The vessels of each water node, in node order."""
    return ([("bed", plan.beds)] if plan.beds else []) + [("tank", plan.tanks)]


def _add_loads(plan: Plan, source: Array, index: dict[str, int]) -> None:
    """Heat from pump, lights and other loads into each node, less what plants take; none into given air."""
    pump_w, around = plan.pump.power_w * np.array(plan.pump.hours), air_around(plan)
    source[:, index["tank"], 0] += plan.pump.in_water_share * pump_w
    if around in index:
        source[:, index[around], 0] += (1.0 - plan.pump.in_water_share) * pump_w
        source[:, index[around], 0] -= transpiration_heat(transpired_kg_s(plan)[:, 0])
        source[:, index["air"], 0] -= vapour_heat_w(plan)
    for load in plan.loads:
        watts = load.power_w * np.array(load.hours)
        for node, share in (("tank", load.to_water), ("bed", load.to_bed), ("air", load.to_air), ("hut", load.to_hut)):
            if share and node in index:
                source[:, index[node], 0] += share * watts


def _vessels(plan: Plan, index: dict[str, int], pressure_pa: float) -> Vessels:
    """Water surfaces, walls and flow of the vessels: barrels, beds, tanks."""
    no_surface = replace(plan.tanks[0], surface_m2=0.0, wall_m2=0.0)  # closed barrels meet the air by a link
    barrels = [no_surface] if plan.barrels else []
    beds = [part for bed in plan.beds for part in bed.parts]
    rows = barrels + beds + [part for tank in plan.tanks for part in tank.parts]
    film_a, film_b = vertical_film_terms(_column([row.depth_m for row in rows]), pressure_pa=pressure_pa)
    has_beds, passive = bool(plan.beds), len(barrels)
    water_kg = [RHO_WATER * sum(vessel.water_m3 for vessel in vessels) for _, vessels in _water_vessels(plan)]
    names, firsts = ((BARREL, "bed", "tank"), (0, passive, passive + len(beds)))
    used = [number for number, there in enumerate((passive, has_beds, True)) if there]
    return Vessels(
        water_nodes=tuple(index[names[number]] for number in used),
        first_rows=tuple(firsts[number] for number in used),
        surface_m2=_column([row.surface_m2 for row in rows]),
        evaporation=_column([row.evaporation for row in rows]),
        lid_r=_column([row.lid_r_m2k_per_w for row in rows]),
        night_evaporation=_column([row.night_evaporation for row in rows]),
        night_lid_r=_column([row.night_lid_r_m2k_per_w for row in rows]),
        wall_m2=_column([row.wall_m2 for row in rows]),
        wall_r=_column([row.wall_r_m2k_per_w for row in rows]),
        film_a=film_a,
        film_b=film_b,
        flow_w_per_k=circulation(plan)[:, None] if has_beds else np.zeros((24, 1)),
        drained_j_per_k=np.array([sum(vessel.capacity_j_per_k - vessel.drained_j_per_k for vessel in plan.beds)]),
        ice_limit_j=ice_limit(_column([RHO_WATER * barrel_m3(plan)] * passive + water_kg)),
        tap_c=np.array([plan.tap_c]),
        passive=passive,
    )


def _room_air(plan: Plan, index: dict[str, int], envelope: Envelope | None, pressure_pa: float) -> RoomAir:
    """The air around the vessels: of given temperature, of the hut, or of the room."""
    room = plan.room
    if envelope is None:
        assert room.temperature_c is not None
        vapour = room.humidity * water_saturation_pressure(room.temperature_c)
        given = (np.array([room.temperature_c]), np.atleast_1d(humidity_ratio(vapour, pressure_pa)))
        zeros = (np.zeros(1),) * 6
        change = None if room.night_c is None else _column([*room.given_by_hour_c]) - room.temperature_c
        return RoomAir(None, None, None, *given, *zeros, np.ones(1), transpired_kg_s(plan), change)
    if plan.hut is not None:
        return _hut_air(plan, plan.hut, index, envelope, pressure_pa)
    numbers = (
        envelope.air_mass_kg,
        envelope.change_kg_s,
        0.0,
        envelope.leak_cm2,
        envelope.condensing_kg_s,
        envelope.coldness,
        room.outdoor_humidity,
    )
    return _simulated_air((index["air"], index["fabric"], None), numbers, transpired_kg_s(plan) + gained_kg_s(plan))


def _hut_air(plan: Plan, hut: Hut, index: dict[str, int], envelope: Envelope, pressure_pa: float) -> RoomAir:
    """The hut's air. Its vapour leaves to the room and from there outdoors: two air changes in series.

    This neglects the vapour that the room's air stores and that condenses on the room's sides, which is on the safe
    side for condensation on the hut's skin. Of vapour given to the room the hut takes its steady share.
    """
    mass = hut_air_kg(hut, pressure_pa)
    numbers = (
        mass,
        envelope.change_kg_s,
        mass * hut.air_changes_per_h / 3600.0,
        envelope.leak_cm2,
        float(condensing_conductance(hut.skin_m2)),
        float(surface_drop_share(hut_transmittance(hut.r_m2k_per_w))),
        plan.room.outdoor_humidity,
    )
    share = float(hut_vapour_share(numbers[2], envelope.mean_change_kg_s))
    vapour = transpired_kg_s(plan) + share * gained_kg_s(plan)
    return _simulated_air((index["hut"], index["hut"], index["air"]), numbers, vapour)


def _simulated_air(nodes: tuple[int, int, int | None], numbers: tuple[float, ...], vapour_kg_s: Array) -> RoomAir:
    """Air of simulated temperature: the nodes and numbers of `RoomAir` in its order."""
    given, (mass, change, hut_change, leak, condensing, coldness, humidity) = np.zeros(1), np.array(numbers)[:, None]
    return RoomAir(*nodes, given, given, mass, change, hut_change, leak, condensing, coldness, humidity, vapour_kg_s)


def _column(values: list[float]) -> Array:
    """A list of numbers as a column, shape (row, 1)."""
    return np.array(values, dtype=float)[:, None]
