"""Another source of heat in the network of a plan that has one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from thermal.climate.forcing import OTHER_HEAT
from thermal.data.other_heat import house_air_vapour
from thermal.network.model import Network
from thermal.physics.infiltration import air_change_conductance
from thermal.physics.intermittent_air import intermittent_conductance
from thermal.physics.moist_air import dry_air_density
from thermal.plan.other_heat import TriedHeat
from thermal.plan.structure import Room


def with_tried_heat(network: Network, tried: TriedHeat | None, room: Room, pressure_pa: float) -> Network:
    """A network of one design with the heat of another source.

    Parameters
    ----------
    network : Network
        The network without it, as a batch of one design.
    tried : TriedHeat or None
        The source; None for none.
    room : Room
        The room, for the temperature of the house.
    pressure_pa : float
        Air pressure [Pa].
    """
    if tried is None:
        return network
    source_w, watts = network.source_w.copy(), tried.watts * np.array(tried.hours)
    source_w[:, network.nodes.index(tried.to_node), 0] += (1.0 - tried.radiant_share) * watts
    if tried.radiant_share:
        source_w[:, network.nodes.index("fabric"), 0] += tried.radiant_share * watts
    network = replace(network, source_w=source_w)
    if tried.from_weather:
        return _with_heat_of_weather(network, network.nodes.index(tried.to_node))
    return _with_house_air(network, tried, room, pressure_pa) if tried.house_air_m3_s else network


def house_air_kg_s(tried: TriedHeat, room: Room, pressure_pa: float) -> float:
    """Dry air of the house that the fan blows while it runs. [kg/s]

    Parameters
    ----------
    tried : TriedHeat
        The source.
    room : Room
        The room, for the temperature of the house.
    pressure_pa : float
        Air pressure [Pa].
    """
    return tried.house_air_m3_s * float(dry_air_density(room.house_c, house_air_vapour()[1], pressure_pa))


def house_air_conductance(network: Network, tried: TriedHeat, room: Room, pressure_pa: float) -> float:
    """Conductance from the room's air to the house that brings as much heat in a day. [W/K]

    Parameters
    ----------
    network : Network
        The network without it, as a batch of one design.
    tried : TriedHeat
        The source.
    room : Room
        The room.
    pressure_pa : float
        Air pressure [Pa].
    """
    air = network.nodes.index(tried.to_node)
    links = zip(network.links, network.link_w_per_k[:, 0], strict=True)
    around = float(network.outdoor_w_per_k[air, 0]) + sum(value for pair, value in links if air in pair)
    flow = air_change_conductance(house_air_kg_s(tried, room, pressure_pa))
    return float(intermittent_conductance(flow, sum(tried.hours) / 24.0, around))


def house_c(tried: TriedHeat, room: Room) -> float:
    """Mean temperature of the house while the fan runs. [degC]"""
    return float(np.average(room.house_by_hour_c, weights=tried.hours))


def _with_heat_of_weather(network: Network, node: int) -> Network:
    """The network with the heat of the forcing's column `OTHER_HEAT`, in W, in one node."""
    whole = np.ones((1, 1))
    gain_w = whole if network.gain_w is None else np.concatenate([network.gain_w, whole])
    return replace(network, gains=(*network.gains, (node, OTHER_HEAT)), gain_w=gain_w)


def _with_house_air(network: Network, tried: TriedHeat, room: Room, pressure_pa: float) -> Network:
    """The network with house air in the room: its heat at its mean over the day, its vapour by the hour."""
    air, conductance = network.nodes.index(tried.to_node), house_air_conductance(network, tried, room, pressure_pa)
    fixed, source_w = network.fixed_w_per_k.copy(), network.source_w.copy()
    fixed[air] += conductance
    source_w[:, air] += conductance * house_c(tried, room)
    moist = network.room_air
    if moist is not None and moist.beyond_node is None:  # a hut's air takes none of it
        hours = np.array(tried.hours)
        vapour = moist.vapour_kg_s + (house_air_vapour()[0] * tried.house_air_m3_s * hours)[:, None]
        change = moist.change_kg_s + house_air_kg_s(tried, room, pressure_pa) * hours.mean()
        moist = replace(moist, vapour_kg_s=vapour, change_kg_s=change)
    return replace(network, fixed_w_per_k=fixed, source_w=source_w, room_air=moist)
