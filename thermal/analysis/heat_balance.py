"""Heat balance: the heat that leaves the water, or the room, by each path in each hour.

Heat that LEAVES is positive. Gains other than the heater are negative, and heat stored is a path of its own. So the
paths of the water add up to a heater in the water, and those of the room to any heater.
"""

from __future__ import annotations

import numpy as np

from thermal.analysis.case import WinterHours
from thermal.climate.forcing import SKY, WARMED
from thermal.core.arrays import Array
from thermal.errors import INTERNAL, ClosureError
from thermal.network.envelope import Envelope, ground_season
from thermal.network.model import Network
from thermal.network.pipes import air_around, mean_conductance
from thermal.network.vapour_gains import transpired_kg_s, vapour_heat_w
from thermal.network.vessel_sides import base_conductance, buried_wall_conductance, faced_conductance
from thermal.physics.bed_heat_capacity import water_capacity
from thermal.physics.fabric_split import boundary_conductance
from thermal.physics.flood_drain import moved_capacity
from thermal.physics.infiltration import air_change_conductance
from thermal.physics.moist_air import latent_heat
from thermal.physics.transpiration import transpiration_heat
from thermal.plan.model import Plan
from thermal.solver.drying import heat_of_drying

Paths = dict[str, Array]
SUN_ON_SIDES, SUN_THROUGH_WINDOWS, RADIATED_TO_SKY = (
    "sun on walls and roof",
    "sun through windows",
    "radiation to the sky",
)
DEHUMIDIFIER = "dehumidifier"
HUT_AIR_FROM_HOUSE = "air of the hut from the house"
BELOW_FLOOR = " walls below the floor"
TO_HOUSE, TO_OUTDOORS = " side to the house", " side to outdoors"  # ends of the names of paths past the room
BALANCE_LIMIT = 1e-6  # error of the balance, as a share of the heat exchanged


def water_paths(plan: Plan, network: Network, hours: WinterHours) -> Paths:
    """Heat that leaves tanks and beds by each path in each hour. [W]

    Parameters
    ----------
    plan : Plan
        The plan.
    network : Network
        Its network.
    hours : WinterHours
        One winter of one design.

    Returns
    -------
    dict of str to Array, shape (hour,)
        They add up to the heater's power where it heats the water, or else to zero.

    Raises
    ------
    ClosureError
        When they do not.
    """
    index = {name: node for node, name in enumerate(network.nodes)}
    air_c = _surroundings(plan, index, hours, "hut" if plan.hut else "air")
    radiant_c = _surroundings(plan, index, hours, "hut" if plan.hut else "fabric")
    paths: Paths = {}
    vessels = [("bed", bed) for bed in plan.beds] + [("tank", tank) for tank in plan.tanks]
    rows = [(water_node, part) for water_node, vessel in vessels for part in vessel.parts]
    assert network.vessels is not None
    for row, (water_node, vessel) in enumerate(rows, start=network.vessels.passive):  # barrels have a row before them
        water = hours.mean(index[water_node])
        evaporation = hours.vessel("evaporation_kg_s", row) * latent_heat(hours.mean(index[water_node]))
        beneath = air_c if vessel.base == "frame" or "slab" not in index else hours.mean(index["slab"])
        _add(paths, f"{water_node} walls", hours.vessel("wall_w_per_k", row) * (water - air_c))
        _add(paths, f"{water_node} evaporation", evaporation)
        _add(paths, f"{water_node} surface convection", hours.vessel("convection_w_per_k", row) * (water - air_c))
        _add(paths, f"{water_node} surface longwave", hours.vessel("longwave_w_per_k", row) * (water - radiant_c))
        bottom = base_conductance(vessel, plan.room.floor, "slab" not in index)
        _add(paths, f"{water_node} bottom", bottom * (water - beneath))
        if below := buried_wall_conductance(vessel, plan.room.floor):
            _add(paths, water_node + BELOW_FLOOR, below * (water - beneath))
        _add(paths, "make-up water", hours.vessel("latent_w", row) - evaporation)
    _add_past_the_room(paths, plan, index, hours)
    change = water_capacity(plan.water_change_m3_s)
    if change:
        _add(paths, "water change", change * (hours.mean(index["tank"]) - plan.tap_c))
    for pipe in plan.pipes:
        around_c = _surroundings(plan, index, hours, air_around(plan, pipe))
        conductance = mean_conductance(plan, pipe)
        _add(paths, "pipes", conductance * (hours.mean(index["tank"]) - around_c))
    _add_gains(paths, plan, hours, ("to_water", "to_bed"))
    water_nodes = [index[name] for name in ("bed", "tank") if name in index]
    _add(paths, "stored in water", _storage_flow(network, hours, water_nodes))
    heater = hours.hourly_output.heater_w[:, hours.column] if plan.heater.where == "water" else np.zeros(len(air_c))
    return _check_balance(paths, heater, "water")


def room_paths(
    plan: Plan, envelope: Envelope, network: Network, hours: WinterHours, ground: tuple[float, float]
) -> Paths:
    """Heat that leaves the room, with everything in it, by each path in each hour. [W]

    Parameters
    ----------
    plan : Plan
        The plan.
    envelope : Envelope
        The room's envelope.
    network : Network
        The plan's network.
    hours : WinterHours
        One winter of one design.
    ground : tuple of float
        Yearly mean [degC] and amplitude [K] of the outdoor air.

    Returns
    -------
    dict of str to Array, shape (hour,)
        They add up to the heater's power.

    Raises
    ------
    ClosureError
        When they do not.
    """
    index = {name: node for node, name in enumerate(network.nodes)}
    paths: Paths = {}
    boundary = {
        "outdoors": hours.outdoor_c,
        "attic": hours.outdoor_c,
        "house": np.array(plan.room.house_by_hour_c)[hours.hour_of_day],
        "ground": ground[0],
    }
    fabric, air_c = hours.mean(index["fabric"]), hours.mean(index["air"])
    total = sum(side.ua_w_per_k for side in envelope.sides)
    for side in envelope.sides:
        flow = boundary_conductance(envelope.fabric_beyond, side.ua_w_per_k, total) * (fabric - boundary[side.faces])
        share = side.bridges_w_per_k / side.ua_w_per_k
        _add(paths, side.name, (1.0 - share) * flow)
        if share:
            _add(paths, "thermal bridges", share * flow)
    leak = hours.hourly_output.leak_w_per_k[:, hours.column if hours.hourly_output.leak_w_per_k.shape[1] > 1 else 0]
    _add(paths, "air change", (air_change_conductance(envelope.change_kg_s) + leak) * (air_c - hours.outdoor_c))
    moisture = (
        hours.hourly_output.latent_w[:, :, hours.column].sum(axis=1) - hours.hourly_output.condensing_w[:, hours.column]
    )
    _add(paths, "moisture and make-up water", moisture)
    season = hours.season @ np.array(ground_season(envelope, ground[1]))
    _add(paths, "ground", envelope.soil_ground * (hours.mean(index["soil"]) - ground[0]) - season)
    change = water_capacity(plan.water_change_m3_s)
    if change:
        _add(paths, "water change", change * (hours.mean(index["tank"]) - plan.tap_c))
    _add_past_the_room(paths, plan, index, hours)
    _add_hut_air(paths, plan, network, hours)
    if plan.dehumidifier is not None:
        column = hours.column
        removed, electric = hours.hourly_output.removed_kg_s[:, column], hours.hourly_output.drying_w[:, column]
        _add(paths, DEHUMIDIFIER, -heat_of_drying(removed, electric))
    plants_w = transpiration_heat(transpired_kg_s(plan)[:, 0])
    if plants_w.any():
        _add(paths, "transpiration of plants", plants_w[hours.hour_of_day])
    if (gains_w := vapour_heat_w(plan)).any():
        _add(paths, "vapour of other gains", gains_w[hours.hour_of_day])
    for (_, column), heat_w in zip(
        network.gains, network.gain_w[:, 0] if network.gain_w is not None else (), strict=True
    ):
        if hours.columns is not None:
            _add(paths, _gain_name(column), -heat_w * hours.columns[:, column])
    _add_gains(paths, plan, hours, ("to_water", "to_bed", "to_air", "to_hut"))
    _add(paths, "stored", _storage_flow(network, hours, list(range(len(network.nodes)))))
    return _check_balance(paths, hours.hourly_output.heater_w[:, hours.column], "room")


def _gain_name(column: int) -> str:
    """Name of the path by which a column of the forcing brings or takes heat."""
    if column >= SKY:
        return RADIATED_TO_SKY
    return SUN_ON_SIDES if column >= WARMED else SUN_THROUGH_WINDOWS


def monthly(paths: Paths, month: list[str]) -> dict[str, dict[str, float]]:
    """Heat by each path in each month. [kWh]

    Parameters
    ----------
    paths : dict of str to Array, shape (hour,)
        Heat by each path [W].
    month : list of str
        Name of the month of each hour, in order of time.

    Returns
    -------
    dict of str to dict of str to float
        By month, then by path.
    """
    names = list(dict.fromkeys(month))
    position = np.searchsorted(names, month)
    sums = {path: np.bincount(position, flow, minlength=len(names)) / 1000.0 for path, flow in paths.items()}
    return {name: {path: float(total[i]) for path, total in sums.items()} for i, name in enumerate(names)}


def _surroundings(plan: Plan, index: dict[str, int], hours: WinterHours, node: str) -> Array:
    """Temperature of the room's air or surfaces; the given one where the room's air is given. [degC]"""
    if node in index:
        return hours.mean(index[node])
    return np.array(plan.room.given_by_hour_c)[hours.hour_of_day]


def _add(paths: Paths, name: str, flow: Array) -> None:
    """Add a flow to a path."""
    paths[name] = paths[name] + flow if name in paths else flow


def _add_past_the_room(paths: Paths, plan: Plan, index: dict[str, int], hours: WinterHours) -> None:
    """Add what the water gives off through sides of tanks and beds that face the house or outdoors."""
    beyond_c = {"house": np.array(plan.room.house_by_hour_c)[hours.hour_of_day], "outdoors": hours.outdoor_c}
    for water_node, vessels in (("bed", plan.beds), ("tank", plan.tanks)):
        for faces, end in (("house", TO_HOUSE), ("outdoors", TO_OUTDOORS)):
            if conductance := faced_conductance(vessels, faces):
                _add(paths, water_node + end, conductance * (hours.mean(index[water_node]) - beyond_c[faces]))


def _add_hut_air(paths: Paths, plan: Plan, network: Network, hours: WinterHours) -> None:
    """Add what the hut gives to air that it exchanges with outdoors or the house, past the room."""
    room = network.room_air
    if room is None or room.direct_change_kg_s is None or plan.hut is None:
        return
    is_house = plan.hut.air_from == "house"
    beyond_c = np.array(plan.room.house_by_hour_c)[hours.hour_of_day] if is_house else hours.outdoor_c
    conductance = float(air_change_conductance(room.direct_change_kg_s[0]))
    flow = conductance * (hours.mean(network.nodes.index("hut")) - beyond_c)
    _add(paths, HUT_AIR_FROM_HOUSE if is_house else "air change", flow)


def _add_gains(paths: Paths, plan: Plan, hours: WinterHours, where: tuple[str, ...]) -> None:
    """Add the power of the pump and of the loads that heat these nodes, as negative losses."""
    day = hours.hour_of_day
    pump_share = 1.0 if "to_air" in where else plan.pump.in_water_share
    if plan.pump.power_w and pump_share:
        _add(paths, "pump", -pump_share * plan.pump.power_w * np.array(plan.pump.hours)[day])
    for load in plan.loads:
        share = sum(getattr(load, destination) for destination in where)
        if share and load.power_w:
            _add(paths, load.name, -share * load.power_w * np.array(load.hours)[day])


def _storage_flow(network: Network, hours: WinterHours, nodes: list[int]) -> Array:
    """Heat stored in each hour by warmer nodes and by less ice. [W]

    A bed that drains gives its heat capacity, and the heat in it, to the tank.
    """
    assert network.vessels is not None
    capacity = np.repeat(network.capacity_j_per_k[:, :1], len(hours.outdoor_c) + 1, axis=1)
    if len(network.vessels.in_circuit) > 1:
        day = np.concatenate([hours.hour_of_day[:1] - 1, hours.hour_of_day])
        running = network.vessels.flow_w_per_k[day % 24, 0] > 0
        moved = moved_capacity(running, network.vessels.drained_j_per_k[0])
        capacity[network.vessels.in_circuit[0]] -= moved
        capacity[network.vessels.in_circuit[1]] += moved
    water_nodes = network.vessels.water_nodes
    content = sum(capacity[node] * np.append(hours.start_c[node], hours.end(node, water_nodes)) for node in nodes)
    icy = [number for number, node in enumerate(water_nodes) if node in nodes]
    ice = np.vstack([hours.start_ice_j, hours.hourly_output.ice_j[:, :, hours.column]])[:, icy].sum(axis=1)
    return np.asarray(np.diff(content - ice) / 3600.0)


def _check_balance(paths: Paths, heater: Array, what: str) -> Paths:
    """The paths, if they add up to the heater's heat over the whole winter."""
    gap = abs(sum(float(flow.sum()) for flow in paths.values()) - float(heater.sum()))
    through = sum(float(np.abs(flow).sum()) for flow in paths.values())
    if gap > BALANCE_LIMIT * max(through, 1.0):
        raise ClosureError(
            f"{INTERNAL} heat losses of the {what} differ from the heater's heat by {gap / max(through, 1.0):.1e}"
            " of the heat exchanged. Please report it with your plan."
        )
    return paths
