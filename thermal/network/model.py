"""The thermal network as arrays: nodes, the conductances between them, and control, for a batch of designs.

Nodes and links come first and the design axis last, so that each row is one contiguous vector. Heat flow is positive
INTO a node. Nothing in this module knows plans or files: a test room of a standard is built from the same arrays as a
fish tank.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import TypeVar

import numpy as np

from thermal.core.arrays import Array

T = TypeVar("T")


@dataclass(frozen=True)
class Vessels:
    """Water that meets air: one row for each vessel, beds first; arrays of shape (vessel, design).

    Attributes
    ----------
    water_nodes : tuple of int
        Numbers of the water nodes: (bed, tank) or (tank,), before them that of the barrels where there are any.
    first_rows : tuple of int
        First vessel row of each water node.
    surface_m2 : Array
        Water surface [m2].
    evaporation : Array
        Factor on the evaporation of open water by day [-].
    lid_r : Array
        Resistance of lid or media by day [m2K/W].
    night_evaporation : Array
        Factor on the evaporation of open water from 20:00 to 8:00 [-].
    night_lid_r : Array
        Resistance of lid or media from 20:00 to 8:00 [m2K/W].
    wall_m2 : Array
        Wall area [m2].
    wall_r : Array
        Resistance of the walls, surface to surface [m2K/W].
    film_a, film_b : Array
        Film constants of `natural_convection.vertical_film_terms` [(W/m2K)^(1/2)]; `film_b` also for each K^(1/6).
    flow_w_per_k : Array, shape (24, design)
        Heat capacity flow between the water nodes by local hour [W/K].
    drained_j_per_k : Array, shape (design,)
        Heat capacity of the water that runs from the bed back to the tank when the pump stops [J/K].
    ice_limit_j : Array, shape (water node, design)
        Latent heat released when all of a node's water freezes [J].
    tap_c : Array, shape (design,)
        Temperature of make-up water [degC].
    passive : int
        How many of the water nodes, from the first, are outside the circuit: 1 with barrels, or else 0.
    """

    water_nodes: tuple[int, ...]
    first_rows: tuple[int, ...]
    surface_m2: Array
    evaporation: Array
    lid_r: Array
    night_evaporation: Array
    night_lid_r: Array
    wall_m2: Array
    wall_r: Array
    film_a: Array
    film_b: Array
    flow_w_per_k: Array
    drained_j_per_k: Array
    ice_limit_j: Array
    tap_c: Array
    passive: int = 0

    @property
    def in_circuit(self) -> tuple[int, ...]:
        """Numbers of the water nodes that hold water of the system: (bed, tank) or (tank,)."""
        return self.water_nodes[self.passive :]


@dataclass(frozen=True)
class RoomAir:
    """The air around the vessels; arrays of shape (design,).

    Attributes
    ----------
    node : int or None
        Node of the air; None where the air temperature is given.
    radiant_node : int or None
        Node of the surfaces that the water radiates to; None where the air temperature is given. In a hut it is the
        hut's air.
    beyond_node : int or None
        Node of the air behind the coldest side: the room's air around a hut, None for outdoors.
    given_c : Array
        Given air temperature [degC].
    given_ratio : Array
        Humidity ratio of air of a given temperature [kg/kg].
    mass_kg : Array
        Dry air in the room [kg].
    change_kg_s : Array
        Dry outside air that enters the room at a constant rate [kg/s].
    hut_change_kg_s : Array
        Dry air that a hut and the room exchange [kg/s]; without a hut not used.
    leak_cm2 : Array
        Effective leakage area, through which air flows by wind and stack effect [cm2].
    condensing_kg_s : Array
        Mass-transfer conductance of vapour to the coldest side [kg/s for each unit of humidity ratio].
    coldness : Array
        1 - f_Rsi of that side: (air - its inner surface)/(air - air behind it), with the temperature factor f_Rsi of
        ISO 13788 [-].
    outdoor_humidity : Array
        Factor on the humidity ratio of the outdoor air [-].
    vapour_kg_s : Array, shape (24, design)
        Vapour that plants give to the air, by local hour [kg/s].
    given_change_k : Array, shape (24, design), optional
        What air of a given temperature is warmer than `given_c`, by local hour [K]; None where it never changes.
    dryer : Array, shape (8, design), optional
        A dehumidifier, with the rows of `drying_air.DryerRows`; None without one.
    fan : Array, shape (3, design), optional
        A fan by humidity, with the rows of `drying_air.FanRows`; None without one.
    direct_change_kg_s : Array, optional
        Dry air that a hut exchanges past the room, as humid as outdoors beside its `vapour_kg_s` [kg/s]; None where it
        exchanges none.
    """

    node: int | None
    radiant_node: int | None
    beyond_node: int | None
    given_c: Array
    given_ratio: Array
    mass_kg: Array
    change_kg_s: Array
    hut_change_kg_s: Array
    leak_cm2: Array
    condensing_kg_s: Array
    coldness: Array
    outdoor_humidity: Array
    vapour_kg_s: Array
    given_change_k: Array | None = None
    dryer: Array | None = None
    fan: Array | None = None
    direct_change_kg_s: Array | None = None

    def given_mean_c(self, hour: int, hours: int = 1) -> Array:
        """Mean of the given air temperature over some hours of the day. [degC]

        Parameters
        ----------
        hour : int
            The first.
        hours : int
            How many, none past midnight.
        """
        if self.given_change_k is None:
            return self.given_c
        return np.asarray(self.given_c + self.given_change_k[hour : hour + hours].mean(axis=0))

    @property
    def leak_node(self) -> int | None:
        """Node of the room's air, which outside air leaks into: round a hut it is `beyond_node`."""
        return self.node if self.beyond_node is None else self.beyond_node


@dataclass(frozen=True)
class Network:
    """Thermal networks of one topology, one column for each design.

    Attributes
    ----------
    nodes : tuple of str
        Names in the order of elimination; the heated node last.
    capacity_j_per_k : Array, shape (node, design)
        Heat capacity, zero allowed [J/K].
    links : tuple of (int, int)
        Pairs of nodes joined by a constant conductance, the lower number first.
    link_w_per_k : Array, shape (link, design)
        Those conductances [W/K].
    outdoor_w_per_k : Array, shape (node, design)
        Conductance to outdoor air [W/K].
    fixed_w_per_k : Array, shape (node, design)
        Conductance to all surroundings of constant temperature together [W/K].
    source_w : Array, shape (24, node, design)
        Heat gains by local hour, plus the conductances to those surroundings times their temperatures in degC [W].
    season_w : Array, shape (2, node, design)
        Cosine and sine part of the heat from the ground's yearly wave [W].
    gains : tuple of (int, int)
        Pairs of a node and the column of `Forcing.columns` that brings heat to it, sun or sky; each pair once.
    gain_w : Array, shape (pair, design), optional
        Heat for each unit of that column [W]: an area for a column in W/m2, a conductance for one in K. None without
        pairs.
    heater_share : Array, shape (24, design), optional
        Share of each hour in which a timer gives the heater power, by local hour [-]. None without a timer.
    vessels : Vessels or None
        The water; None for a room without water.
    room_air : RoomAir or None
        The air around the vessels; None for a room without water.
    """

    nodes: tuple[str, ...]
    capacity_j_per_k: Array
    links: tuple[tuple[int, int], ...]
    link_w_per_k: Array
    outdoor_w_per_k: Array
    fixed_w_per_k: Array
    source_w: Array
    season_w: Array
    gains: tuple[tuple[int, int], ...] = ()
    gain_w: Array | None = None
    heater_share: Array | None = None
    vessels: Vessels | None = None
    room_air: RoomAir | None = None

    @property
    def designs(self) -> int:
        """Number of designs in the batch."""
        return int(self.capacity_j_per_k.shape[-1])

    def take(self, index: Array) -> Network:
        """Network of the chosen designs.

        Parameters
        ----------
        index : Array of int, shape (chosen,)
            Numbers of the designs; repeats are allowed.

        Returns
        -------
        Network
            Of the same topology, with one column for each number.
        """
        return replace(
            _take(self, index),
            vessels=_take(self.vessels, index) if self.vessels else None,
            room_air=_take(self.room_air, index) if self.room_air else None,
        )


@dataclass(frozen=True)
class Control:
    """An ideal thermostat for each design.

    Attributes
    ----------
    setpoint_c : Array, shape (24, design) or (hour, design)
        Setpoint by local hour, or by hour of the simulation [degC].
    max_w : Array, shape (design,)
        Largest power of the heater [W].
    min_w : Array, shape (design,)
        Smallest power of the heater: above zero for a heater stuck on, below zero for a cooler [W].
    given_w : Array, shape (hour, design), optional
        Measured power of the heater [W]. Setpoint and limits are then not used.
    cool_above_c : Array, shape (design,), optional
        Setpoint of a cooler, not below the heater's [degC]: the heater then gives 0 to `max_w`, and the cooler takes
        up to `-min_w` out. Without it one setpoint serves both.
    """

    setpoint_c: Array
    max_w: Array
    min_w: Array
    given_w: Array | None = None
    cool_above_c: Array | None = None

    @cached_property
    def varies(self) -> bool:
        """Whether the setpoint changes within a day, or the power is given."""
        return self.given_w is not None or bool((self.setpoint_c != self.setpoint_c[0]).any())

    def on_timer(self, share: Array | None, hour: int | None = None) -> Control:
        """Control with its power limits in one hour of the day, or as a mean of the day, under a timer.

        Parameters
        ----------
        share : Array, shape (24, design), or None
            As `Network.heater_share`.
        hour : int, optional
            The hour of the day.
        """
        if share is None:
            return self
        now = share.mean(axis=0) if hour is None else share[hour]
        return replace(self, max_w=self.max_w * now, min_w=self.min_w * now)

    def take(self, index: Array) -> Control:
        """Control of the chosen designs.

        Parameters
        ----------
        index : Array of int, shape (chosen,)
            Numbers of the designs; repeats are allowed.
        """
        return _take(self, index)


def thermostat(setpoint_c: Array | float, max_w: Array | float, min_w: Array | float = 0.0) -> Control:
    """Control with one setpoint for all day.

    Parameters
    ----------
    setpoint_c : Array or float, shape (design,)
        Setpoint [degC].
    max_w : Array or float, shape (design,)
        Largest power of the heater [W].
    min_w : Array or float, shape (design,)
        Smallest power of the heater [W].

    Returns
    -------
    Control
        One column for each design; numbers are used for all designs.
    """
    setpoint, high, low = np.broadcast_arrays(np.atleast_1d(np.asarray(setpoint_c, dtype=float)), max_w, min_w)
    return Control(np.tile(setpoint, (24, 1)), high.astype(float), low.astype(float))


def night_vessels(vessels: Vessels) -> Vessels:
    """The vessels with their night covers on, as they are from 20:00 to 8:00."""
    return replace(vessels, evaporation=vessels.night_evaporation, lid_r=vessels.night_lid_r)


def without_daily_changes(network: Network) -> Network:
    """The network with the day's mean of its heat sources, of its pumps' flow, and of given air, at every hour."""
    room, vessels = network.room_air, network.vessels
    if room is not None and room.given_change_k is not None:
        room = replace(room, given_change_k=_at_every_hour(room.given_change_k))
    if vessels is not None:
        vessels = replace(vessels, flow_w_per_k=_at_every_hour(vessels.flow_w_per_k))
    return replace(network, source_w=_at_every_hour(network.source_w), room_air=room, vessels=vessels)


def _at_every_hour(hourly: Array) -> Array:
    """The day's mean at every hour, shape (24, ...)."""
    return np.repeat(hourly.mean(axis=0)[None], 24, axis=0)


def join_networks(networks: list[Network]) -> Network:
    """One batch of several networks of the same topology.

    Parameters
    ----------
    networks : list of Network
        At least one; the designs keep their order.
    """
    first = networks[0]
    vessels = [network.vessels for network in networks if network.vessels]
    airs = [network.room_air for network in networks if network.room_air]
    return replace(
        _join(networks),
        vessels=_join(vessels) if first.vessels else None,
        room_air=_join(airs) if first.room_air else None,
    )


def _take(value: T, index: Array) -> T:
    """A dataclass with the chosen columns of all its arrays."""
    arrays = {field.name: getattr(value, field.name) for field in fields(value)}  # type: ignore[arg-type]
    picked = {name: array.take(index, axis=-1) for name, array in arrays.items() if isinstance(array, np.ndarray)}
    return replace(value, **picked)  # type: ignore[type-var]


def _join(values: list[T]) -> T:
    """A dataclass with the arrays of all the values side by side."""
    names = [field.name for field in fields(values[0])]  # type: ignore[arg-type]
    arrays = [name for name in names if isinstance(getattr(values[0], name), np.ndarray)]
    stacked = {name: np.concatenate([getattr(value, name) for value in values], axis=-1) for name in arrays}
    return replace(values[0], **stacked)  # type: ignore[type-var]
