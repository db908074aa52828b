"""Making a network ready to simulate: what is eliminated once, the buffers of a day, a state of given temperatures."""

from __future__ import annotations

from dataclasses import fields
from itertools import pairwise
from typing import Any, TypeVar

import numpy as np

from thermal.climate.forcing import HUMIDITY
from thermal.core.aligned import aligned_copy, aligned_zeros
from thermal.core.arrays import Array, Precision
from thermal.network.model import Network, RoomAir, Vessels, night_vessels
from thermal.solver.linear_solve import (
    allocate,
    coupling_view,
    eliminate,
    factorisation,
    fill_pattern,
    rows_at,
    trailing_submatrix,
)
from thermal.solver.outdoor_gains import prepare_gains
from thermal.solver.state import (
    CouplingViews,
    Day,
    Inflow,
    PreparedNetwork,
    Reference,
    State,
    System,
)
from thermal.solver.theta_method import exponential_theta
from thermal.solver.transfer_coefficients import by_water_node

T = TypeVar("T", Vessels, RoomAir)


def prepare_network(network: Network, dt_s: float, pressure_pa: float, precision: Precision) -> PreparedNetwork:
    """A network made ready for steps of one length.

    Parameters
    ----------
    network : Network
        One column a design-winter.
    dt_s : float
        Length of a step [s].
    pressure_pa : float
    precision : type
        `numpy.float32` or `float`: of the steps.

    Returns
    -------
    PreparedNetwork
    """
    vessels, room, n = network.vessels, network.room_air, len(network.nodes)
    water_nodes, constant = _water_slice(vessels), _constant_system(network)
    theta = _water_theta(network, constant.diagonal[water_nodes], dt_s)
    inverse_theta = aligned_copy((1.0 / theta), precision)
    weight = theta[-1] if water_nodes.stop == n else np.ones(network.designs)
    heat = _add_storage(constant, network.capacity_j_per_k / dt_s, inverse_theta, water_nodes)
    rhs, (pairs, constant_nodes) = aligned_zeros((n, network.designs), precision), _changing_links(network)
    pattern, whole = fill_pattern([*network.links, *pairs], n), trailing_submatrix(constant, 0, precision)
    once = factorisation(whole, pattern, 0, rhs, until=constant_nodes)  # buys 4 % at 2,048 designs
    eliminate(once)
    system = trailing_submatrix(whole, constant_nodes, precision)
    outdoor_nodes, fed_nodes = _outdoor_and_fed_nodes(network, water_nodes)
    return PreparedNetwork(
        network=network,
        dt_s=dt_s,
        precision=precision,
        pressure_pa=pressure_pa,
        held_kg_s=(room.mass_kg / dt_s if room else np.zeros(0)).astype(precision),
        vessel_node=_vessel_nodes(vessels),
        water_nodes=water_nodes,
        booked_nodes=_booked_nodes(network),
        fed_nodes=fed_nodes,
        outdoor_nodes=outdoor_nodes,
        vessels=_by_day_and_night(vessels, precision) if vessels else None,
        room_air=_in_precision(room, precision) if room else None,
        first_source_w=network.source_w[0],
        source_change_w=aligned_copy((network.source_w - network.source_w[0]), precision),
        source_changes=_changes(network.source_w),
        source_differs=tuple(bool((source != network.source_w[0]).any()) for source in network.source_w),
        season_w=aligned_copy(network.season_w, precision),
        gains=prepare_gains(network, fed_nodes, (outdoor_nodes, water_nodes), precision),
        outside_w_per_k=network.outdoor_w_per_k + network.fixed_w_per_k,
        link_w_per_k=aligned_copy(network.link_w_per_k, precision),
        outdoor_w_per_k=aligned_copy(network.outdoor_w_per_k[outdoor_nodes], precision),
        pump_w_per_k=aligned_copy(vessels.flow_w_per_k, precision) if vessels else np.zeros((24, 0), precision),
        circulates=_circulates(vessels),
        pump_switches=_pump_switches(vessels),
        drains=_drains(vessels),
        humidity_differs=room is not None and bool((room.outdoor_humidity != 1.0).any()),
        leak_row=_leak_row(network),
        heat_w_per_k=heat,
        inverse_theta=inverse_theta,
        new_weight=aligned_copy(weight, precision),
        old_weight=aligned_copy((1.0 - weight), precision),
        constant_system=trailing_submatrix(whole, constant_nodes, precision),
        system=system,
        coupling=_coupling_views(network, system, constant_nodes),
        factorisation=factorisation(system, pattern, constant_nodes, rhs, before=once),
        rhs=rhs,
    )


def blank_day(prepared: PreparedNetwork, steps: int, longest: int, keeps_every_step: bool) -> Day:
    """Buffers for the steps of a day.

    Parameters
    ----------
    prepared : PreparedNetwork
        The network made ready for steps.
    steps, longest : int
        Of the day, and of its longest update interval.
    keeps_every_step : bool
        Whether the temperatures of every node and the ice are kept step by step.
    """
    network, precision, room = prepared.network, prepared.precision, prepared.network.room_air
    n, nodes = network.designs, len(network.nodes)
    water_nodes = len(network.vessels.water_nodes) if network.vessels else 0

    def rows(*shape: int) -> Array:
        return aligned_zeros((*shape, n), precision)

    return Day(
        keeps_every_step=keeps_every_step,
        inflow=_inflow(prepared, longest),
        mean_k=rows(steps if keeps_every_step else 0, nodes),
        water_k=rows(steps, water_nodes),
        ratio=rows(steps),
        watts=rows(steps),
        condensing_w=rows(steps),
        watts_sum=np.zeros((n,), float),
        mean_sum=rows(len(range(nodes)[prepared.booked_nodes])),
        leak_w=np.zeros(n),
        leaks=[],
        vapour_w=rows(),
        freezing_j=np.zeros(n),
        ice_j=[],
        exchanges=[],
        removed_kg_s=rows(0 if room is None or room.dryer is None else steps),
        drying_w=rows(0 if room is None or room.dryer is None else steps),
        fan_w=rows(0 if room is None or room.fan is None else steps),
    )


def initial_state(network: Network, start_c: Array, weather: Array, precision: Precision) -> State:
    """A state of given temperatures, the room's air as dry as outdoors, the pump as at midnight.

    Parameters
    ----------
    network : Network
        One column a design.
    precision : type
        numpy.float32 or float.
    start_c : Array, shape (node, column)
    weather : Array, shape (channel, column)
    """
    vessels, room, n = network.vessels, network.room_air, network.designs
    ratio = weather[HUMIDITY] if room is None or room.node is not None else room.given_ratio
    none = np.zeros((0, n), precision)
    return State(
        reference=Reference(start_c, none, none, none, none, none, -np.inf),
        deviation_k=np.zeros(start_c.shape, precision),
        water_k=none,
        humidity_ratio=np.broadcast_to(ratio, (n,)).astype(precision),
        wall_excess=np.full(vessels.wall_r.shape, 0.5, precision) if vessels else none,
        ice_j=np.zeros_like(vessels.ice_limit_j) if vessels else none,
        has_ice=False,
        pump_runs=vessels.flow_w_per_k[0] > 0 if vessels else np.ones(n, dtype=bool),
        last_update_c=aligned_copy(start_c, precision),
    )


def _by_day_and_night(vessels: Vessels, precision: Precision) -> tuple[Vessels, Vessels]:
    return _in_precision(vessels, precision), _in_precision(night_vessels(vessels), precision)


def _in_precision(value: T, precision: Precision) -> T:
    """The same vessels or air with their arrays in single or double precision."""
    values: dict[str, Any] = {field.name: getattr(value, field.name) for field in fields(value)}
    arrays = {name: array for name, array in values.items() if isinstance(array, np.ndarray)}
    return type(value)(**values | {name: aligned_copy(array, precision) for name, array in arrays.items()})


def _constant_system(network: Network) -> System:
    """The network's constant conductances, heat capacity left out."""
    system = allocate(len(network.nodes), network.designs)
    diagonal = system.diagonal
    diagonal[:] = network.outdoor_w_per_k + network.fixed_w_per_k
    for (i, j), conductance in zip(network.links, network.link_w_per_k, strict=True):
        system.rows[min(i, j)][abs(i - j) - 1] += conductance
        diagonal[i] += conductance
        diagonal[j] += conductance
    return system


def _add_storage(system: System, storage_w_per_k: Array, inverse_theta: Array, water_nodes: slice) -> Array:
    """Add heat capacity over the step to the diagonal but for the water's, which the pump may change; return all."""
    heat = storage_w_per_k.astype(inverse_theta.dtype)
    heat[water_nodes] = storage_w_per_k[water_nodes] * inverse_theta
    light = storage_w_per_k.copy()
    light[water_nodes] = 0.0
    system.diagonal[:] += light
    return heat


def _changing_links(network: Network) -> tuple[list[tuple[int, int]], int]:
    """Links that change from hour to hour, and how many leading nodes have none."""
    vessels, room = network.vessels, network.room_air
    if vessels is None or room is None:
        return [], len(network.nodes) - 1
    around = _nodes_around(room)
    to_room = [(water_node, node) for water_node in vessels.in_circuit for node in around]
    changing = [*vessels.water_nodes, *around, *_leak_nodes(room), len(network.nodes) - 1]
    return [*to_room, *pairwise(vessels.in_circuit)], min(changing)


def _nodes_around(room: RoomAir | None) -> list[int]:
    """The air round the vessels and the surfaces they radiate to; none where the air is given."""
    return [node for node in (room.node, room.radiant_node) if node is not None] if room else []


def _leak_nodes(room: RoomAir | None) -> list[int]:
    """The node of the room's air, if outside air leaks into it in any design."""
    if room is None or room.leak_node is None or (room.fan is None and not room.leak_cm2.any()):
        return []
    return [room.leak_node]


def _leak_row(network: Network) -> int | None:
    """Where the node that outside air leaks into stands among the booked ones; None without leaks."""
    leak = _leak_nodes(network.room_air)
    return leak[0] - _booked_nodes(network).start if leak else None


def _booked_nodes(network: Network) -> slice:
    """Nodes linked to the outside, by conductances that never change or by leaks."""
    linked = np.asarray((network.outdoor_w_per_k + network.fixed_w_per_k).any(axis=-1))
    linked[_leak_nodes(network.room_air)] = True
    return _nonzero_run(linked)


def _coupling_views(network: Network, system: System, first: int) -> CouplingViews:
    """The water's conductances in the changing matrix, whose rows count from node `first`."""
    vessels, room = network.vessels, network.room_air
    if vessels is None:
        return CouplingViews(system.diagonal[:0], np.zeros(0), (), np.zeros(0))
    water_nodes = tuple(water_node - first for water_node in vessels.water_nodes)
    circuit = water_nodes[vessels.passive :]  # closed barrels meet air and surfaces by constant links
    pump = coupling_view(system, water_nodes[-2], water_nodes[-1:])[0] if _circulates(vessels) else np.zeros(0)
    diagonals = system.diagonal[rows_at(water_nodes)]
    around = [node - first for node in _nodes_around(room)]
    to_room = tuple((system.diagonal[node], coupling_view(system, node, circuit)) for node in around)
    leak = [system.diagonal[node - first] for node in _leak_nodes(room)]
    return CouplingViews(diagonals, pump, to_room, leak[0] if leak else np.zeros(0))


def _outdoor_and_fed_nodes(network: Network, water_nodes: slice) -> tuple[slice, slice]:
    """Nodes linked to outdoors, the room's air and surfaces among them; and the same with the water."""
    room, linked = network.room_air, np.asarray(network.outdoor_w_per_k.any(axis=-1))
    linked[_nodes_around(room) + _leak_nodes(room)] = True
    linked[water_nodes] |= linked[water_nodes].any()
    fed = linked.copy()
    fed[water_nodes] = True
    fed[[node for node, _ in network.gains]] = True
    return _nonzero_run(linked), _nonzero_run(fed)


def _inflow(prepared: PreparedNetwork, steps: int) -> Inflow:
    """Memory for what weather and vapour bring in the steps of an interval."""
    room, linked, water = prepared.network.room_air, prepared.outdoor_nodes, prepared.water_nodes
    first = prepared.fed_nodes.start
    heat = aligned_zeros((steps, prepared.fed_nodes.stop - first, prepared.network.designs), prepared.precision)
    nodes, none = _nodes_around(room), heat[:, 0:0]
    leak = _leak_nodes(room)
    return Inflow(
        fed_nodes=heat,
        outdoors=heat[:, max(linked.start - first, 0) : max(linked.stop - first, 0)],
        water_nodes=heat[:, max(water.start - first, 0) : max(water.stop - first, 0) : water.step],
        surfaces=heat[:, nodes[-1] - first] if nodes else none,
        leak=heat[:, leak[0] - first] if leak else none,
    )


def _circulates(vessels: Vessels | None) -> bool:
    """Whether there are a bed and a tank."""
    return vessels is not None and len(vessels.in_circuit) > 1


def _pump_switches(vessels: Vessels | None) -> tuple[bool, ...]:
    """For each hour of the day: whether any design's pump changes then."""
    if vessels is None or not _circulates(vessels):
        return (False,) * 24
    return _changes(vessels.flow_w_per_k)


def _changes(by_hour: Array) -> tuple[bool, ...]:
    """For each hour of the day: whether the values differ from the hour before."""
    return tuple(bool((by_hour[hour] != by_hour[hour - 1]).any()) for hour in range(24))


def _drains(vessels: Vessels | None) -> bool:
    """Whether some bed drains at some hour."""
    if vessels is None or not _circulates(vessels):
        return False
    return bool(((vessels.flow_w_per_k <= 0) & (vessels.drained_j_per_k > 0)).any())


def _vessel_nodes(vessels: Vessels | None) -> slice | list[int]:
    """Node of each vessel row; a slice where every water node has one vessel."""
    if vessels is None or len(vessels.surface_m2) == len(vessels.water_nodes):
        return _water_slice(vessels)
    bounds = (*vessels.first_rows, len(vessels.surface_m2))
    runs = zip(vessels.water_nodes, bounds, bounds[1:], strict=False)
    return [water_node for water_node, first, stop in runs for _ in range(first, stop)]


def _water_slice(vessels: Vessels | None) -> slice:
    """The water nodes, one to three."""
    return rows_at(vessels.water_nodes) if vessels else slice(0, 0)


def _water_theta(network: Network, linked_w_per_k: Array, dt_s: float) -> Array:
    """Theta of each water node, shape (water node, column)."""
    capacity = network.capacity_j_per_k[_water_slice(network.vessels)]
    return exponential_theta(_water_conductance(network, linked_w_per_k) * dt_s / capacity)


def _water_conductance(network: Network, linked_w_per_k: Array) -> Array:
    """About what each water node gives off for each kelvin [W/K], to choose theta by.

    The open surface is counted at 15 W/m2K, walls behind a film of 8 W/m2K: near the mean of a winter. Theta
    moves slowly with it, and any theta between 1/2 and 1 is stable.
    """
    vessels = network.vessels
    if vessels is None:
        return linked_w_per_k
    each = 15.0 * vessels.surface_m2 / (1.0 + 15.0 * vessels.lid_r) + vessels.wall_m2 / (0.125 + vessels.wall_r)
    total = linked_w_per_k + by_water_node(each, vessels)
    if _circulates(vessels):
        total[-2:] += vessels.flow_w_per_k.max(axis=0)
    return total


def _nonzero_run(rows: Array) -> slice:
    """The smallest run of rows, or of flags, that holds every one that is not zero."""
    indices = np.flatnonzero(rows.reshape(len(rows), -1).any(axis=-1))
    return slice(int(indices[0]), int(indices[-1]) + 1) if indices.size else slice(0, 0)
