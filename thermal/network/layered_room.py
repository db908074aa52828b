"""A bare room of layered walls as a network: no vessels, one node of air, an ideal heater and cooler in it.

>>> siding, wool, board = Layer(0.009, 0.14, 530, 900), Layer(0.066, 0.04, 12, 840), Layer(0.012, 0.16, 950, 840)
>>> south = LayeredSide("south wall", "south", 12.0, (siding, wool, board))
>>> roof, floor = LayeredSide("roof", "roof", 9.0, (siding, wool, board)), LayeredSide("floor", "below", 9.0, (wool,))
>>> network = layered_network([LayeredRoom((south, roof, floor), volume_m3=24.0, air_changes_per_h=0.5)])
>>> network.nodes[-2:]
('radiant', 'air')
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from thermal.climate.forcing import SKY_LOSS, sun_column
from thermal.core.arrays import Array
from thermal.core.facings import FACINGS, ROOF
from thermal.network.model import Control, Network
from thermal.network.sun_gains import TO_FLOOR, TO_SURFACES
from thermal.physics.constants import CP_AIR, EMISSIVITY_WALL, SEA_LEVEL_PA
from thermal.physics.glazing import transmitted_sun
from thermal.physics.infiltration import air_change_flow
from thermal.physics.inner_radiation import radiant_star_conductances
from thermal.physics.moist_air import dry_air_density
from thermal.physics.outside_film import MEAN_WIND_M_S, outside_convection
from thermal.physics.radiation import radiative_coefficient
from thermal.physics.sol_air import sky_view_factor

BELOW = "below"  # faces the outdoor air under a raised floor: no sun, no sky, no wind
INSIDE_CONVECTION = {"wall": 2.5, ROOF: 5.0, BELOW: 0.7}  # W/m2K, heat flow outwards, ISO 6946:2017 annex C
INSIDE_C, OUTSIDE_C = 20.0, 10.0  # where longwave is made linear; the air's density is that of 20 degC
DAY_S, PARTS_IN_WAVE = 86400.0, 3.0  # nodes to the depth at which a daily wave is 1/e
UNLIMITED_W = 1e9


@dataclass(frozen=True)
class Layer:
    """One layer of a side.

    Attributes
    ----------
    thickness_m, w_per_mk, kg_per_m3, j_per_kgk : float
        Thickness [m], conductivity [W/mK], density [kg/m3] and specific heat [J/kgK]; a density or specific heat of 0
        leaves out its heat capacity. An air space is given by a thickness of 1 and a conductivity of 1/R.
    """

    thickness_m: float
    w_per_mk: float
    kg_per_m3: float = 0.0
    j_per_kgk: float = 0.0


@dataclass(frozen=True)
class LayeredSide:
    """One side of a room: wall, roof or raised floor.

    Attributes
    ----------
    name : str
        Name of its nodes.
    faces : str
        One of `core.facings.FACINGS`, or "below" for the outdoor air under a raised floor.
    area_m2 : float
        Area [m2].
    layers : tuple of Layer
        Outside first.
    absorptance : float
        Share of the sun that the outside takes up [-].
    outside_emissivity, inside_emissivity : float
        Emissivities [-]; the inside one above zero.
    outside_convection, inside_convection : float, optional
        Convective part of the films [W/m2K]; those of ISO 6946 annex C where left out, outside at 4 m/s.
    g_value : float
        Of a window, for sun at right angles: the share that comes in, what the panes take up and pass on among it; then
        leave `absorptance` at 0 [-].
    """

    name: str
    faces: str
    area_m2: float
    layers: tuple[Layer, ...]
    absorptance: float = 0.6
    outside_emissivity: float = EMISSIVITY_WALL
    inside_emissivity: float = EMISSIVITY_WALL
    outside_convection: float | None = None
    inside_convection: float | None = None
    g_value: float = 0.0


@dataclass(frozen=True)
class LayeredRoom:
    """A room of layered sides.

    Attributes
    ----------
    sides : tuple of LayeredSide
        All that encloses the room.
    volume_m3 : float
        Volume of its air [m3].
    air_changes_per_h : float
        Air changes an hour, constant [1/h].
    gain_w : float
        Heat of people and devices, constant [W].
    radiant_share : float
        Share of it that radiates to the sides by area; the rest warms the air [-].
    heat_below_c, cool_above_c : float, optional
        Air temperatures below which an ideal heater works, and above which an ideal cooler works [degC]; None for
        none.
    pressure_pa : float
        Air pressure at the site [Pa], by which the air's density goes.
    """

    sides: tuple[LayeredSide, ...]
    volume_m3: float
    air_changes_per_h: float = 0.0
    gain_w: float = 0.0
    radiant_share: float = 0.6
    heat_below_c: float | None = None
    cool_above_c: float | None = None
    pressure_pa: float = SEA_LEVEL_PA

    @property
    def air_w_per_k(self) -> float:
        """Heat that the air change carries out for each kelvin."""
        kg_m3 = float(dry_air_density(INSIDE_C, 0.0, self.pressure_pa))
        return kg_m3 * CP_AIR * float(air_change_flow(self.air_changes_per_h, self.volume_m3))

    @property
    def air_j_per_k(self) -> float:
        """Heat capacity of the air."""
        return float(dry_air_density(INSIDE_C, 0.0, self.pressure_pa)) * CP_AIR * self.volume_m3

    @property
    def topology(self) -> tuple[tuple[str, str, int], ...]:
        """What rooms of one batch have in common: names of the sides, where they face, numbers of their nodes."""
        return tuple((side.name, side.faces, len(_slices(side))) for side in self.sides)


def layered_network(rooms: Sequence[LayeredRoom]) -> Network:
    """The networks of rooms of one topology, one column each.

    Parameters
    ----------
    rooms : sequence of LayeredRoom
        With the same sides and numbers of nodes; areas, films and emissivities may differ.

    Returns
    -------
    Network
        Each side's nodes from outside to inside, then the mean radiant temperature, then the air.
    """
    parts = [_RoomParts(room) for room in rooms]
    first = parts[0]

    def columns(values: list[Array]) -> Array:
        return np.stack(values, axis=-1)

    return Network(
        nodes=first.nodes,
        capacity_j_per_k=columns([part.capacity for part in parts]),
        links=tuple(first.links),
        link_w_per_k=columns([np.array(list(part.links.values())) for part in parts]),
        outdoor_w_per_k=columns([part.outdoor for part in parts]),
        fixed_w_per_k=np.zeros((len(first.nodes), len(rooms))),
        source_w=np.repeat(columns([part.source for part in parts])[None], 24, axis=0),
        season_w=np.zeros((2, len(first.nodes), len(rooms))),
        gains=tuple(first.gains),
        gain_w=columns([np.array(list(part.gains.values())) for part in parts]),
    )


def layered_control(rooms: Sequence[LayeredRoom]) -> Control:
    """The ideal heaters and coolers of rooms, without limits.

    Parameters
    ----------
    rooms : sequence of LayeredRoom
        One column each.
    """
    never_c = 1e3
    heat = np.array([-never_c if room.heat_below_c is None else room.heat_below_c for room in rooms])
    cool = np.array([never_c if room.cool_above_c is None else room.cool_above_c for room in rooms])
    limit = np.full(len(rooms), UNLIMITED_W)
    return Control(np.tile(heat, (24, 1)), limit, -limit, cool_above_c=cool)


class _RoomParts:
    """The numbers of one room's network."""

    def __init__(self, room: LayeredRoom) -> None:
        names = [f"{side.name} {place}" for side in room.sides for place in range(len(_slices(side)) + 1)]
        self.nodes = (*names, "radiant", "air")
        n = len(self.nodes)
        self.capacity, self.outdoor, self.source = np.zeros(n), np.zeros(n), np.zeros(n)
        self.links: dict[tuple[int, int], float] = {}
        self.gains: dict[tuple[int, int], float] = {}
        areas = [side.area_m2 for side in room.sides]
        star = radiant_star_conductances(areas, [side.inside_emissivity for side in room.sides], INSIDE_C)
        outer, inner_nodes = 0, []
        for side, star_w_per_k in zip(room.sides, star, strict=True):
            inner = self._add_layers(side, outer)
            self._add_outside(side, outer)
            self.links[inner, n - 2] = float(star_w_per_k)
            self.links[inner, n - 1] = side.area_m2 * inside_convection(side)
            self.source[inner] += room.gain_w * room.radiant_share * side.area_m2 / sum(areas)
            inner_nodes.append(inner)
            outer = inner + 1
        for window in room.sides:
            if window.g_value:
                self._add_window_sun(room, window, inner_nodes)
        self.capacity[-1], self.outdoor[-1] = room.air_j_per_k, room.air_w_per_k
        self.source[-1] += room.gain_w * (1.0 - room.radiant_share)

    def _add_layers(self, side: LayeredSide, outer: int) -> int:
        """Nodes of the side's layers; the number of the inner surface."""
        node = outer
        for conductance, capacity in _slices(side):
            self.links[node, node + 1] = conductance * side.area_m2
            self.capacity[[node, node + 1]] += 0.5 * capacity * side.area_m2
            node += 1
        return node

    def _add_outside(self, side: LayeredSide, outer: int) -> None:
        """Film, sun and sky of the outer surface."""
        longwave = float(radiative_coefficient(OUTSIDE_C, side.outside_emissivity))
        self.outdoor[outer] = side.area_m2 * (_outside_convection(side) + longwave)
        if side.faces in FACINGS:
            sky = float(sky_view_factor(0.0 if side.faces == ROOF else 90.0))
            self.gains[outer, sun_column(side.faces)] = side.area_m2 * side.absorptance
            self.gains[outer, SKY_LOSS] = -side.area_m2 * side.outside_emissivity * sky

    def _add_window_sun(self, room: LayeredRoom, window: LayeredSide, inner_nodes: list[int]) -> None:
        """The sun that a window lets in: on the floor, and on the other opaque sides by area."""
        entered = float(transmitted_sun(window.area_m2, window.g_value, 1.0))
        walls_m2 = sum(side.area_m2 for side in room.sides if side.faces != BELOW and not side.g_value)
        for side, inner in zip(room.sides, inner_nodes, strict=True):
            share = TO_FLOOR if side.faces == BELOW else TO_SURFACES * side.area_m2 / walls_m2
            if not side.g_value:
                key = inner, sun_column(window.faces)
                self.gains[key] = self.gains.get(key, 0.0) + share * entered


def inside_convection(side: LayeredSide) -> float:
    """Convective part of a side's inside film. [W/m2K]"""
    if side.inside_convection is not None:
        return side.inside_convection
    return INSIDE_CONVECTION.get(side.faces, INSIDE_CONVECTION["wall"])


def _outside_convection(side: LayeredSide) -> float:
    """Convective part of a side's outside film. [W/m2K]"""
    if side.outside_convection is not None:
        return side.outside_convection
    return float(outside_convection(0.0 if side.faces == BELOW else MEAN_WIND_M_S))


def _slices(side: LayeredSide) -> list[tuple[float, float]]:
    """Conductance [W/m2K] and heat capacity [J/m2K] of each slice of a side, outside first."""
    return [values for layer in side.layers for values in _slices_of(layer)]


def _slices_of(layer: Layer) -> Iterator[tuple[float, float]]:
    capacity = layer.kg_per_m3 * layer.j_per_kgk
    wave_m = math.sqrt(layer.w_per_mk / capacity * DAY_S / math.pi) if capacity else math.inf
    parts = max(1, math.ceil(PARTS_IN_WAVE * layer.thickness_m / wave_m))
    slice_m = layer.thickness_m / parts
    for _ in range(parts):
        yield layer.w_per_mk / slice_m, capacity * slice_m
