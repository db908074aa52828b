"""One design of a network, without the design axis: what the reference step works on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from thermal.core.arrays import Array
from thermal.network.model import Network, RoomAir, Vessels
from thermal.physics import flood_drain
from thermal.solver.theta_method import exponential_theta

HOUR_S = 3600.0
TYPICAL_SURFACE, TYPICAL_WALL_R = 15.0, 0.125  # W/m2K of open water, m2K/W of the film at a wall: near a winter's mean


@dataclass(frozen=True)
class Design:
    """One design with water in it.

    Attributes
    ----------
    network : Network
        Its arrays without their last axis.
    vessels, room
        The network's, never None.
    water : list of int
        The water nodes: bed and tank, or the tank; before them barrels, if any.
    vessel_nodes : Array, shape (vessel,)
        The water node of each vessel.
    theta : Array, shape (node,)
        Weight of the new temperature in the mean of an hour.
    """

    network: Network
    vessels: Vessels
    room: RoomAir
    water: list[int]
    vessel_nodes: Array
    theta: Array

    @property
    def circuit(self) -> list[int]:
        """The water nodes of the system: bed and tank, or the tank."""
        return list(self.vessels.in_circuit)

    @property
    def circulates(self) -> bool:
        """Whether there are a bed and a tank."""
        return len(self.vessels.in_circuit) == 2

    def heat_capacity(self, pump_on: bool) -> Array:
        """Of every node; a bed that drains leaves its water in the tank while the pump rests. [J/K]"""
        capacity = self.network.capacity_j_per_k.copy()
        if self.circulates:
            moved = flood_drain.moved_capacity(pump_on, self.vessels.drained_j_per_k)
            capacity[self.circuit] += moved * np.array([-1.0, 1.0])
        return capacity

    def after_pump_switch(self, temperature_c: Array, was_on: bool, is_on: bool) -> Array:
        """Temperatures once a bed has drained or filled: the water mixes where it comes to. [degC]

        Parameters
        ----------
        temperature_c : Array, shape (node,)
            [degC]
        was_on : bool
            Whether the pump ran in the hour before.
        is_on : bool
            Whether it runs now.
        """
        mixed_c = temperature_c.copy()
        if self.circulates:
            (bed, tank), (new_bed, _) = (self.heat_capacity(pump_on)[self.circuit] for pump_on in (was_on, is_on))
            bed_c, tank_c = temperature_c[self.circuit]
            mixed_c[self.circuit] = flood_drain.switched_temperatures(bed_c, tank_c, bed, tank, bed - new_bed)
        return mixed_c

    def conductances(
        self, air_w_per_k: Array, longwave_w_per_k: Array, leak_w_per_k: float, clock: int
    ) -> tuple[Array, Array, Array]:
        """What links the nodes in one hour of the day, as in the drawing of `thermal.solver.reference`. [W/K]

        Parameters
        ----------
        air_w_per_k, longwave_w_per_k : Array, shape (vessel,)
            From the water to the air round it, and to the surfaces it radiates to.
        leak_w_per_k : float
            From the room's air to outdoors through cracks.
        clock : int
            Hour of the day, for the pump.

        Returns
        -------
        matrix : Array, shape (node, node)
            Sum of a node's conductances to other nodes on the diagonal, each of them with a minus beside it.
        to_outdoors, to_given : Array, shape (node,)
            Conductances to outdoor air and to the room's given air.
        """
        network, room, nodes = self.network, self.room, len(self.network.nodes)
        matrix, to_outdoors, to_given = np.zeros((nodes, nodes)), network.outdoor_w_per_k.copy(), np.zeros(nodes)
        links = list(zip(network.links, network.link_w_per_k, strict=True))
        if self.circulates:
            links.append(((self.circuit[0], self.circuit[1]), self.vessels.flow_w_per_k[clock]))
        if room.node is None or room.radiant_node is None:
            np.add.at(to_given, self.vessel_nodes, air_w_per_k + longwave_w_per_k)
        else:
            to_outdoors[room.leak_node] += leak_w_per_k
            for around, conductances in ((room.node, air_w_per_k), (room.radiant_node, longwave_w_per_k)):
                links += [((node, around), g) for node, g in zip(self.vessel_nodes, conductances, strict=True)]
        for (i, j), conductance in links:
            matrix[[i, j], [i, j]] += conductance
            matrix[[i, j], [j, i]] -= conductance
        return matrix, to_outdoors, to_given


def design_of(network: Network, index: int = 0) -> Design:
    """One design picked from a batch."""
    single = network.take(np.array(index))
    vessels, room = single.vessels, single.room_air
    if vessels is None or room is None:
        raise ValueError("the reference step is for designs with water")
    vessel_nodes = np.repeat(vessels.water_nodes, np.diff([*vessels.first_rows, len(vessels.surface_m2)]))
    theta = _node_theta(single, vessels, vessel_nodes)
    return Design(single, vessels, room, list(vessels.water_nodes), vessel_nodes, theta)


def _node_theta(network: Network, vessels: Vessels, vessel_nodes: Array) -> Array:
    """1 for light nodes; for water fitted to the exponential by about what it gives off for each kelvin."""
    given_off = network.outdoor_w_per_k + network.fixed_w_per_k
    for (i, j), conductance in zip(network.links, network.link_w_per_k, strict=True):
        given_off[[i, j]] += conductance
    surface = TYPICAL_SURFACE * vessels.surface_m2 / (1.0 + TYPICAL_SURFACE * vessels.lid_r)
    np.add.at(given_off, vessel_nodes, surface + vessels.wall_m2 / (TYPICAL_WALL_R + vessels.wall_r))
    water, theta = list(vessels.water_nodes), np.ones(len(network.nodes))
    if len(vessels.in_circuit) > 1:
        given_off[list(vessels.in_circuit)] += vessels.flow_w_per_k.max()
    theta[water] = exponential_theta(given_off[water] * HOUR_S / network.capacity_j_per_k[water])
    return theta
