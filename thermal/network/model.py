"""The thermal network as arrays: nodes, links, and what drives them, for a batch of designs.

Axes: nodes and links come first, the design axis last, so that each row is one contiguous vector. Heat flow
is positive INTO a node. Nothing here knows plans or files: a room test of a standard is built from the same
pieces as a fish tank.
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
    """Water that meets air: one row a vessel, beds first; arrays of shape (vessel, design).

    Attributes
    ----------
    water_nodes : tuple of int
        In node order: (bed, tank) or (tank,).
    first_rows : tuple of int
        First vessel row of each water node.
    surface_m2, evaporation, lid_r : Array
        Open area, share of open-water evaporation, resistance of lid or media [m2K/W].
    night_evaporation, night_lid_r : Array
        The same two from 20:00 to 8:00.
    wall_m2, wall_r, film_a, film_b : Array
        Wall area, its resistance [m2K/W], and the two film constants of `natural_convection.vertical_film_terms`.
    flow_w_per_k : Array, shape (24, design)
        Circulation between the water nodes by local hour.
    drained_j_per_k : Array, shape (design,)
        Heat capacity that runs from the bed back to the tank when the pump stops.
    ice_limit_j : Array, shape (water node, design)
        Latent heat of freezing all of a node's water.
    tap_c : Array, shape (design,)
        Temperature of make-up water [degC].
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


@dataclass(frozen=True)
class RoomAir:
    """The air round the vessels; arrays of shape (design,).

    Attributes
    ----------
    node, radiant_node : int or None
        Node of the air and of the surfaces it radiates to; None when the air is given. A hut's air stands for both.
    beyond_node : int or None
        The air behind the coldest side: None for outdoors, the room's node round a hut.
    given_c, given_ratio : Array
        Temperature [degC] and humidity ratio [kg/kg] of given air.
    mass_kg : Array
        Dry air in the room.
    change_kg_s : Array
        Dry outside air taken in at a constant rate.
    leak_cm2 : Array
        Effective leakage area that wind and stack work on.
    condensing_kg_s : Array
        Mass-transfer conductance to the coldest side [kg/s for each unit of humidity ratio].
    coldness : Array
        1 - f_Rsi of that side: (air - coldest inner surface)/(air - what lies beyond), where f_Rsi is the temperature
        factor of ISO 13788.
    """

    node: int | None
    radiant_node: int | None
    beyond_node: int | None
    given_c: Array
    given_ratio: Array
    mass_kg: Array
    change_kg_s: Array
    leak_cm2: Array
    condensing_kg_s: Array
    coldness: Array


@dataclass(frozen=True)
class Network:
    """Thermal networks of one shape, one column a design.

    Attributes
    ----------
    nodes : tuple of str
        In the order they are eliminated; the heated one last.
    capacity_j_per_k : Array, shape (node, design)
        May be zero.
    links : tuple of (int, int)
        Constant conductances between nodes, any to any, lower index first.
    link_w_per_k : Array, shape (link, design)
    outdoor_w_per_k : Array, shape (node, design)
        To outdoor air.
    fixed_w_per_k : Array, shape (node, design)
        To all surroundings of constant temperature together.
    source_w : Array, shape (24, node, design)
        By local hour: gains, plus conductance times temperature of those surroundings.
    season_w : Array, shape (2, node, design)
        Heat from the ground's yearly swing: the parts with its cosine and its sine.
    vessels, room_air
        The water side; None for a bare room.
    """

    nodes: tuple[str, ...]
    capacity_j_per_k: Array
    links: tuple[tuple[int, int], ...]
    link_w_per_k: Array
    outdoor_w_per_k: Array
    fixed_w_per_k: Array
    source_w: Array
    season_w: Array
    vessels: Vessels | None = None
    room_air: RoomAir | None = None

    @property
    def designs(self) -> int:
        """How many designs the batch holds."""
        return int(self.capacity_j_per_k.shape[-1])

    def take(self, index: Array) -> Network:
        """The designs picked by an index array, repeats allowed."""
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
        By local hour, or by row of the forcing [degC].
    max_w, min_w : Array, shape (design,)
        Limits of the heater; min_w above zero is a heater stuck on, below zero a cooler.
    given_w : Array, shape (hour, design), optional
        What a heater is known to have given: then thermostat and limits count for nothing.
    """

    setpoint_c: Array
    max_w: Array
    min_w: Array
    given_w: Array | None = None

    @cached_property
    def varies(self) -> bool:
        """Whether the heater's orders change within the day."""
        return self.given_w is not None or bool((self.setpoint_c != self.setpoint_c[0]).any())

    def take(self, index: Array) -> Control:
        """The designs picked by an index array."""
        return _take(self, index)


def thermostat(setpoint_c: Array | float, max_w: Array | float, min_w: Array | float = 0.0) -> Control:
    """A control with one setpoint all day.

    Parameters
    ----------
    setpoint_c : Array or float, shape (design,)
        [degC]
    max_w, min_w : Array or float, shape (design,)
        Limits of the heater.
    """
    setpoint, high, low = np.broadcast_arrays(np.atleast_1d(np.asarray(setpoint_c, dtype=float)), max_w, min_w)
    return Control(np.tile(setpoint, (24, 1)), high.astype(float), low.astype(float))


def night_vessels(vessels: Vessels) -> Vessels:
    """The vessels as they are covered at night."""
    return replace(vessels, evaporation=vessels.night_evaporation, lid_r=vessels.night_lid_r)


def join_networks(networks: list[Network]) -> Network:
    """Networks of one shape as one batch."""
    first = networks[0]
    vessels = [network.vessels for network in networks if network.vessels]
    airs = [network.room_air for network in networks if network.room_air]
    return replace(
        _join(networks),
        vessels=_join(vessels) if first.vessels else None,
        room_air=_join(airs) if first.room_air else None,
    )


def _take(value: T, index: Array) -> T:
    arrays = {field.name: getattr(value, field.name) for field in fields(value)}  # type: ignore[arg-type]
    picked = {name: array.take(index, axis=-1) for name, array in arrays.items() if isinstance(array, np.ndarray)}
    return replace(value, **picked)  # type: ignore[type-var]


def _join(values: list[T]) -> T:
    names = [field.name for field in fields(values[0])]  # type: ignore[arg-type]
    arrays = [name for name in names if isinstance(getattr(values[0], name), np.ndarray)]
    stacked = {name: np.concatenate([getattr(value, name) for value in values], axis=-1) for name in arrays}
    return replace(values[0], **stacked)  # type: ignore[type-var]
